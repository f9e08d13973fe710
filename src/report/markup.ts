/**
 * HTML as values: whatever is put into a piece of a page is escaped, unless it is a piece of a page itself.
 *
 *     markup`<td>${'kick < 60 Hz'}</td>`    <td>kick &lt; 60 Hz</td>
 *
 * @module
 */
import { escapeText } from '../plots/svg.ts';

/** A piece of a page. */
export class Markup {
  readonly source: string;

  constructor(source: string) {
    this.source = source;
  }
}

/** What can stand in a piece of a page. Nothing stands for itself. */
export type Content = string | Markup | readonly Content[] | undefined;

/** A piece of a page from its source and what stands in it. */
export function markup(parts: TemplateStringsArray, ...contents: readonly Content[]): Markup {
  return new Markup(parts.map((part, i) => (i === 0 ? part : sourceOf(contents[i - 1]) + part)).join(''));
}

function sourceOf(content: Content): string {
  if (content === undefined) return '';
  if (typeof content === 'string') return escapeText(content);
  return content instanceof Markup ? content.source : content.map(sourceOf).join('');
}

/** A table that scrolls where it is wider than the page. Cells are figures, and stand to the right, but for `texts` and a `long` one. */
export function tableOf(
  caption: string,
  head: readonly string[],
  rows: readonly (readonly Content[])[],
  options: { readonly texts?: readonly number[]; readonly long?: number } = {},
): Markup {
  const { texts = [0], long } = options;
  const kind = (c: number) => (c === long ? 'long' : texts.includes(c) ? 'text' : 'figure');
  const cells = (row: readonly Content[]) =>
    row.map((cell, c) =>
      c === 0 ? markup`<th scope="row">${cell}</th>` : markup`<td class="${kind(c)}">${cell}</td>`,
    );
  return scrolling(
    caption,
    markup`<table>
      <caption>
        ${caption}
      </caption>
      <thead>
        <tr>
          ${head.map((cell, c) => markup`<th scope="col" class="${kind(c)}">${cell}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${rows.map(
          (row) =>
            markup`<tr>
              ${cells(row)}
            </tr>`,
        )}
      </tbody>
    </table>`,
  );
}

/** What may be wider than the page: it scrolls, by the keyboard too. */
export function scrolling(label: string, content: Content): Markup {
  return markup`<div class="wide" role="group" tabindex="0" aria-label="${label}">${content}</div>`;
}
