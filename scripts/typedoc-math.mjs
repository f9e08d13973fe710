/**
 * Equations of the documentation: `$a$` within a line and `$$` around lines become MathML, which browsers draw without
 * a script, a style sheet or a font.
 */
import temml from 'temml';

/** @param {any} md - the Markdown parser, whose rules are open */
export function mathRules(md) {
  md.inline.ruler.before('escape', 'math', (/** @type {any} */ state, /** @type {boolean} */ silent) => {
    const found = /^\$(?!\s)((?:\\.|[^\\$])+?)\$(?!\d)/.exec(state.src.slice(state.pos));
    if (found === null || /\s$/.test(found[1])) return false;
    if (!silent) {
      state.push('html_inline', '', 0).content = temml.renderToString(found[1], { throwOnError: true });
    }
    state.pos += found[0].length;
    return true;
  });
  md.block.ruler.before(
    'fence',
    'math_block',
    (
      /** @type {any} */ state,
      /** @type {number} */ start,
      /** @type {number} */ end,
      /** @type {boolean} */ silent,
    ) => {
      const line = (/** @type {number} */ n) =>
        state.src.slice(state.bMarks[n] + state.tShift[n], state.eMarks[n]).trim();
      if (line(start) !== '$$') return false;
      let n = start + 1;
      while (n < end && line(n) !== '$$') n++;
      if (n >= end) return false;
      if (silent) return true;
      const equation = state.getLines(start + 1, n, 0, false);
      state.push('html_block', '', 0).content = temml.renderToString(equation, {
        displayMode: true,
        throwOnError: true,
      });
      state.line = n + 1;
      return true;
    },
    { alt: ['paragraph', 'reference', 'blockquote', 'list'] },
  );
}
