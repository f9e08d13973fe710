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

/** A new element with attributes and content. */
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

/** A level or a gain as text; nothing below -60. */
export function decibels(db: number): string {
  return db <= -60 ? '-' : `${db.toFixed(1)} dB`;
}

/** `decayHighSeconds` as words with its unit: `decay high`, `s`. */
export function nameAndUnit(name: string): readonly [words: string, unit: string] {
  const [, stem, suffix] = /^(.*?)(Db|Hz|Ms|Seconds|Samples|Percent|Octaves)?$/.exec(name) as unknown as string[];
  const words = stem.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);
  return [words, suffix === undefined ? '' : (UNITS[suffix] ?? suffix.toLowerCase())];
}

const UNITS: Readonly<Record<string, string>> = { Db: 'dB', Hz: 'Hz', Seconds: 's', Percent: '%' };
