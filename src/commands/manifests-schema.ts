// `manifests schema`: prints the JSON Schema of both kinds of manifest, or writes the two files to a folder.

import { publishedSchemas, schemaText } from '../manifest/published-schema.ts';
import { exitCode } from '../words/exit-code.ts';
import type { Run } from './command.ts';

export const run: Run = async (context, _positionals, options) => {
  const schemas = publishedSchemas();
  const json = Object.fromEntries(schemas.map(({ fileName, schema }) => [fileName.split('.')[0], schema]));
  if (typeof options.out !== 'string') {
    return {
      exit: exitCode.done,
      json: { schemas: json },
      text: JSON.stringify(json, null, 2),
      isData: true,
    };
  }
  const folder = context.files.absolute(options.out);
  context.files.makeFolder(folder);
  const files = schemas.map((schema) => {
    const path = context.files.absolute(`${folder}/${schema.fileName}`);
    context.files.write(path, schemaText(schema));
    return path;
  });
  return {
    exit: exitCode.done,
    json: { files, schemas: json },
    text: files.map((file) => `Written: ${file}`).join('\n'),
  };
};
