/**
 * Elements of the page.
 * @module
 */

/** The element with an id that the page certainly has. */
export function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  const element = document.getElementById(id);
  if (!element) throw new Error(`The page has no #${id}.`);
  return element as T;
}

/** A new element with attributes and content; texts are taken as they are. */
export function make<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Readonly<Record<string, string | number | boolean | undefined>> = {},
  ...content: readonly (Node | string)[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(name, '');
    else if (value !== false && value !== undefined) element.setAttribute(name, String(value));
  }
  element.append(...content);
  return element;
}

/** A labelled list to choose from. */
export function chooser(
  id: string,
  label: string,
  choices: readonly (readonly [value: string, text: string])[],
  chosen: string,
  onChoice: (value: string) => void,
): HTMLElement {
  const select = make(
    'select',
    { id },
    ...choices.map(([value, text]) => make('option', { value, selected: value === chosen }, text)),
  );
  select.addEventListener('change', () => onChoice(select.value));
  return make('p', { class: 'chooser' }, make('label', { for: id }, label), ' ', select);
}
