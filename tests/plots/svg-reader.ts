/** Reads the SVG that the plots write: a strict reader of the part of XML 1.0 that they use. */

/** Opening tags of the elements of a name, in their order. @throws Error if the text is not well-formed */
export function elementsOf(svg: string, name: string): string[] {
  const open: string[] = [];
  const found: string[] = [];
  let at = 0;
  for (const match of svg.matchAll(/<(\/?)([A-Za-z]+)((?:\s+[\w:-]+="[^"<]*")*)\s*(\/?)>/g)) {
    const between = svg.slice(at, match.index);
    if (/[<>]/.test(between.replace(/&gt;/g, ''))) throw new Error(`stray bracket in ${JSON.stringify(between)}`);
    if (/&(?!amp;|lt;|gt;|quot;|#39;)/.test(between + match[3])) throw new Error(`bare & in ${between}${match[3]}`);
    at = match.index + match[0].length;
    const [, closing, tag, , empty] = match;
    if (closing) {
      const last = open.pop();
      if (last !== tag) throw new Error(`</${tag}> closes <${last}>`);
    } else {
      if (tag === name) found.push(match[0]);
      if (!empty) open.push(tag);
    }
  }
  if (open.length > 0) throw new Error(`<${open.join('> <')}> stays open`);
  if (svg.slice(at).trim() !== '') throw new Error(`text behind the end: ${svg.slice(at)}`);
  return found;
}

/** Attributes of an opening tag. */
export function attributesOf(tag: string): Record<string, string> {
  return Object.fromEntries([...tag.matchAll(/([\w:-]+)="([^"]*)"/g)].map(([, key, value]) => [key, value]));
}
