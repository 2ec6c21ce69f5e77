// The JSON Schema of both kinds of manifest, made from the same schemas that read them, for an editor to check
// a manifest while it is written. It cannot say what goes across keys or files; `manifests check` does.

import * as z from 'zod';
import { productSchema, releaseSchema } from './schema.ts';

export interface PublishedSchema {
  readonly fileName: string;
  readonly schema: Record<string, unknown>;
}

export function publishedSchemas(): PublishedSchema[] {
  return [
    published('product.schema.json', 'A product: card rule, lights, positions and procedure', productSchema),
    published('release.schema.json', 'A release: one firmware version of one product', releaseSchema),
  ];
}

/** As it stands in the published file. */
export function schemaText({ schema }: PublishedSchema): string {
  return `${JSON.stringify(schema, null, 2)}\n`;
}

function published(fileName: string, title: string, schema: z.ZodType): PublishedSchema {
  const { $schema, ...rest } = z.toJSONSchema(schema, { io: 'input' });
  return { fileName, schema: { $schema, title, ...rest } };
}
