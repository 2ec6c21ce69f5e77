// Builds the pocket page's own code before any test runs, so that tests never see an older one than the sources.

export interface BuiltPage {
  readonly path: string;
  readonly inputs: readonly string[];
  /** By language. */
  readonly scripts: Readonly<Record<'en' | 'de' | 'fr', string>>;
  readonly style: string;
}

export async function buildPage(): Promise<BuiltPage> {
  const { buildPage: build } = await import(new URL('../../build-page.js', import.meta.url).href);
  return build();
}

export default async function setup(): Promise<void> {
  await buildPage();
}
