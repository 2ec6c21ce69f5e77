// A report as data: sections of fields, tables and paragraphs, in the order in which they are read. Every form of it draws
// this and nothing else. Texts are as they stand in the record; whoever draws makes them safe.

export interface Field {
  readonly label: string;
  readonly text: string;
}

export interface ReportTable {
  readonly columns: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

export type ReportBlock =
  | { readonly kind: 'fields'; readonly fields: readonly Field[] }
  | { readonly kind: 'table'; readonly table: ReportTable }
  | { readonly kind: 'paragraph'; readonly text: string };

export interface ReportSection {
  readonly title: string;
  readonly blocks: readonly ReportBlock[];
}

export interface Report {
  readonly title: string;
  readonly sections: readonly ReportSection[];
  /** Stands on every page: serial, and when it was made. */
  readonly foot: string;
}

/** Those without a text are left out. */
export function fieldsOf(...pairs: readonly (readonly [string, string | null | undefined])[]): ReportBlock {
  return {
    kind: 'fields',
    fields: pairs.flatMap(([label, text]) =>
      text === undefined || text === null || text === '' ? [] : [{ label, text }],
    ),
  };
}

export function paragraphOf(text: string): ReportBlock {
  return { kind: 'paragraph', text };
}

export function tableOf(columns: readonly string[], rows: ReportTable['rows']): ReportBlock {
  return { kind: 'table', table: { columns, rows } };
}
