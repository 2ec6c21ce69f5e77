// Buttons and fields as every screen uses them: large, each with a label of its own, answered with Enter as well as
// by a tap.

import { el, type Handler, type Tree, type TreeElement, withHandlers } from '../tree.ts';

type Kind = 'main' | 'other' | 'danger' | 'quiet';

/** A capital at its beginning, as buttons have it. */
export function asButton(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
}

export function button(kind: Kind, text: string, press: () => void): TreeElement {
  return withHandlers(el('button', { type: 'button', class: kind }, asButton(text)), {
    click: () => press(),
  });
}

export function submit(text: string): TreeElement {
  return el('button', { type: 'submit', class: 'main' }, asButton(text));
}

/** Pressed once it asks; pressed again it does. For what cannot be taken back. */
export function twice(kind: Kind, text: string, sure: string, press: () => void): TreeElement {
  const handler: Handler = (event) => {
    const target = (event as Event).currentTarget as HTMLButtonElement;
    if (target.dataset.armed === 'yes') return press();
    target.dataset.armed = 'yes';
    target.textContent = asButton(sure);
  };
  return withHandlers(el('button', { type: 'button', class: kind }, asButton(text)), { click: handler });
}

export interface TextField {
  readonly id: string;
  readonly label: string;
  readonly value?: string;
  readonly type?: 'text' | 'tel' | 'datetime-local';
  readonly keys?: 'text' | 'decimal' | 'numeric' | 'tel';
  readonly capitals?: boolean;
  readonly most?: number;
  readonly typed?: (value: string) => void;
}

export function textField(field: TextField): TreeElement {
  const { id, label, value, type = 'text', keys, capitals, most = 120, typed } = field;
  const input = el('input', {
    id,
    name: id,
    type,
    inputmode: keys,
    maxlength: type === 'datetime-local' ? undefined : most,
    autocomplete: 'off',
    autocapitalize: capitals ? 'characters' : 'off',
    autocorrect: 'off',
    spellcheck: 'false',
    value: value ?? '',
  });
  return el(
    'p',
    { class: 'field' },
    el('label', { for: id }, label),
    withHandlers(input, {
      input: (event) => typed?.(((event as Event).target as HTMLInputElement).value),
    }),
  );
}

export interface Choice {
  readonly value: string;
  readonly text: string;
}

export interface ChoiceField {
  readonly name: string;
  readonly label: string;
  /** The question stands above it already: the label is for those who hear the page. */
  readonly legendHeard?: boolean;
  readonly choices: readonly Choice[];
  readonly chosen?: string;
  readonly picked?: (value: string) => void;
}

export function choiceField({ name, label, choices, chosen, picked, legendHeard }: ChoiceField): TreeElement {
  return el(
    'fieldset',
    { class: 'choices', id: `field-${name}` },
    el('legend', legendHeard ? { class: 'heard' } : {}, label),
    ...choices.map(({ value, text }, i) =>
      el(
        'p',
        { class: 'choice' },
        withHandlers(
          el('input', { type: 'radio', name, id: `${name}-${i}`, value, checked: value === chosen }),
          { change: () => picked?.(value) },
        ),
        el('label', { for: `${name}-${i}` }, text),
      ),
    ),
  );
}

/** Nothing is ever sent: the page's policy forbids it, and this takes the event away. */
export function form(given: (values: FormData) => void, ...children: readonly Tree[]): TreeElement {
  return withHandlers(el('form', { novalidate: true }, ...children), {
    submit: (event) => {
      const submitted = event as SubmitEvent;
      submitted.preventDefault();
      given(new FormData(submitted.target as HTMLFormElement));
    },
  });
}

export function typedValue(values: FormData, name: string): string {
  const value = values.get(name);
  return typeof value === 'string' ? value : '';
}
