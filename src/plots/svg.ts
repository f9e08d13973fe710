/**
 * SVG as text: elements, escaped text, short numbers.
 *
 *     element('text', { x: 12.34567, class: 'plot-tick' }, escapeText('< 5 ms'))
 *     <text x="12.3" class="plot-tick">&lt; 5 ms</text>
 *
 * Source: W3C, "Scalable Vector Graphics (SVG) 2", Candidate Recommendation, 2018.
 *
 * @module
 */

/** Values of an element's attributes; what is undefined is left out. */
export type Attributes = Readonly<Record<string, string | number | undefined>>;

/**
 * Text that is safe between tags and inside quoted attributes. What XML 1.0 does not allow at all, as control characters
 * and halves of surrogate pairs, becomes U+FFFD.
 */
export function escapeText(text: string): string {
  return text
    .replace(/[^\t\n\r\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu, '\u{FFFD}')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;');
}

/** A coordinate to a tenth of a pixel. */
export function coordinate(value: number): string {
  return String(Math.round(value * 10) / 10);
}

/** An element. Numbers are written as coordinates, texts escaped; `content` is SVG already. */
export function element(name: string, attributes: Attributes, ...content: readonly string[]): string {
  const pairs = Object.entries(attributes)
    .filter(([, value]) => value !== undefined)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? coordinate(value) : escapeText(String(value))}"`)
    .join('');
  return content.length === 0 ? `<${name}${pairs}/>` : `<${name}${pairs}>${content.join('')}</${name}>`;
}
