/**
 * Follows every link of a folder of pages to another page, or to a place in one: `node scripts/check-links.mjs site`. What
 * lies outside the folder is not fetched. Lists the links that lead nowhere, and fails if there are any.
 */
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL, URL } from 'node:url';

const root = resolve(process.argv[2] ?? 'site');
const pages = readdirSync(root, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.html'))
  .map((name) => join(root, name));
const texts = new Map(pages.map((page) => [page, readFileSync(page, 'utf8')]));

/** All values of an attribute, entities decoded. @param {string} text @param {RegExp} attribute */
const values = (text, attribute) => [...text.matchAll(attribute)].map(([, value]) => value.replaceAll('&amp;', '&'));
const places = new Map([...texts].map(([page, text]) => [page, new Set(values(text, /\sid="([^"]*)"/g))]));

let links = 0;
/** @type {string[]} */
const dead = [];
for (const [page, text] of texts) {
  for (const link of values(text, /\s(?:href|src)="([^"]*)"/g)) {
    const url = new URL(link, pathToFileURL(page));
    if (url.protocol !== 'file:') continue;
    links++;
    const place = decodeURIComponent(url.hash.slice(1));
    url.hash = '';
    let target = fileURLToPath(url);
    if (existsSync(target) && statSync(target).isDirectory()) target = join(target, 'index.html');
    const there = existsSync(target) && (place === '' || !texts.has(target) || places.get(target)?.has(place));
    if (!there) dead.push(`${page.slice(root.length + 1)}: ${link}`);
  }
}
if (links === 0) throw new Error(`no links in ${root}: expected the pages of npm run docs`);
for (const link of dead) console.log(`leads nowhere: ${link}`);
console.log(`${pages.length} pages, ${links} links, ${dead.length} of them dead`);
process.exitCode = dead.length === 0 ? 0 : 1;
