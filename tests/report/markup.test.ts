import { describe, expect, it } from 'vitest';
import { Markup, markup, tableOf } from '../../src/report/markup.ts';

describe('markup', () => {
  it('escapes whatever it is given, in text and in attributes, and nothing twice', () => {
    const name = `<b title="x">'&'</b>`;
    const escaped = '&lt;b title=&quot;x&quot;&gt;&#39;&amp;&#39;&lt;/b&gt;';
    expect(markup`<p class="${name}">${name}</p>`.source).toBe(`<p class="${escaped}">${escaped}</p>`);
    const inner = markup`<i>${name}</i>`;
    expect(markup`<p>${[inner, inner, [name]]}${undefined}</p>`.source).toBe(
      `<p><i>${escaped}</i><i>${escaped}</i>${escaped}</p>`,
    );
    expect(markup`${new Markup('<hr>')}`.source).toBe('<hr>');
  });

  it('makes tables with a caption and a head for each row and column', () => {
    const { source } = tableOf('Levels', ['name', 'dB'], [['kick', '-3']], { texts: [0] });
    expect(source).toMatch(/<caption>\s*Levels\s*<\/caption>/);
    expect(source).toContain('<th scope="row">kick</th><td class="figure">-3</td>');
    expect(source).toContain('<th scope="col" class="figure">dB</th>');
  });
});
