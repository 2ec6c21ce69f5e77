// A report as text of a width: fields below each other, tables as lines, nothing cut.

import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import type { Report, ReportBlock } from './report.ts';

const longest = 8000;
const labelColumns = 18;

function fold(text: string, width: number, indent: string, firstIndent = indent): string[] {
  return wrap(printable(text, longest), width, indent, firstIndent).split('\n');
}

function blockLines(block: ReportBlock, width: number): string[] {
  switch (block.kind) {
    case 'paragraph':
      return fold(block.text, width, '  ');
    case 'fields':
      return block.fields.flatMap(({ label, text }) => {
        const lead = `  ${printable(label, 60).padEnd(labelColumns)} `;
        return fold(text, width, ' '.repeat(lead.length), lead);
      });
    case 'table':
      // On a narrow screen columns say less than a line for each row.
      return block.table.rows.flatMap((row) => {
        const [first = '', ...rest] = row.map((cell, at) =>
          at === 0 || cell === '' ? cell : `${block.table.columns[at]}: ${cell}`,
        );
        return [
          ...fold(`${block.table.columns[0]}: ${first}`, width, '    ', '  '),
          ...rest.filter((cell) => cell !== '').flatMap((cell) => fold(cell, width, '      ', '    ')),
        ];
      });
  }
}

export function renderReportText({ title, sections, foot }: Report, width: number): string {
  const lines = [...fold(title, width, ''), '='.repeat(Math.min(width, title.length))];
  for (const section of sections) {
    lines.push('', ...fold(section.title, width, ''), '-'.repeat(Math.min(width, section.title.length)));
    section.blocks.forEach((block, at) => {
      if (at > 0) lines.push('');
      lines.push(...blockLines(block, width));
    });
  }
  return [...lines, '', ...fold(foot, width, '')].join('\n');
}
