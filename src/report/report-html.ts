/**
 * Report of a mix as one HTML file: it opens from disk, needs no other file, and without scripts lacks the players' switch
 * alone.
 *
 *     figures, warnings, players, sound, references, masking, channels, alignment, hits, files
 *
 * Whatever a plan calls its things is text here and nothing else; a policy in the page allows one script, by its digest,
 * and no request at all.
 *
 * @module
 */
import {
  alignmentSection,
  fileSection,
  hitSection,
  keyFigures,
  maskingSection,
  referenceSection,
  soundSection,
  warningList,
} from './page-sections.ts';
import { markup, Markup } from './markup.ts';
import type { PairReport } from '../mix/alignment-report.ts';
import type { ListeningPair } from './listening.ts';
import type { MixFileReport } from './mix-file-report.ts';
import { PAGE_STYLE } from './page-style.ts';
import { picture } from './pictures.ts';
import { PLAYER_DIGEST, players, playerScript } from './player.ts';
import { stripSection } from './strip-section.ts';

/** A pair of microphones and its drawing. */
export interface DrawnPair {
  /** Names of the drum and of both microphones. */
  readonly pair: Pick<PairReport, 'drum' | 'reference' | 'other'>;
  /** The drawing as an SVG document. */
  readonly svg: string;
}

/** What a page shows besides the figures. */
export interface ReportParts {
  /** What there is to hear. */
  readonly listening?: ListeningPair | undefined;
  /** Pairs of microphones with their drawings as SVG documents. */
  readonly pairs?: readonly DrawnPair[] | undefined;
}

/** The page. */
export function reportHtml(report: MixFileReport, { listening, pairs = [] }: ReportParts = {}): string {
  const drawn = pairs.map(({ pair: { drum, reference, other }, svg }) =>
    picture(svg, `${drum}: ${reference} and ${other}`),
  );
  const sections: readonly (readonly [id: string, heading: string, content: Markup])[] = [
    ['warnings', 'Worth a look', warningList(report)],
    ['listen', 'Listen', players(listening)],
    ['sound', 'Before and after', soundSection(report)],
    ['references', 'References', referenceSection(report)],
    ['masking', 'In the song', maskingSection(report)],
    ['strips', 'Channels and buses', stripSection(report)],
    ['alignment', 'Alignment', alignmentSection(report, drawn)],
    ['hits', 'Hits', hitSection(report)],
    ['files', 'Recordings and files', fileSection(report)],
  ];
  const policy =
    `default-src 'none'; style-src 'unsafe-inline'; media-src data:; base-uri 'none'; form-action 'none'; ` +
    `script-src '${PLAYER_DIGEST}'`;
  const title = `Mix report: ${report.mix.file}`;
  return markup`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta http-equiv="Content-Security-Policy" content="${policy}" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>${title}</title>
        <style>
          ${new Markup(PAGE_STYLE)}
        </style>
      </head>
      <body>
        <header>
          <h1>${title}</h1>
          <p class="faint">Plan ${report.plan.file}</p>
          ${keyFigures(report)}
          <nav aria-label="Sections">
            <ul>
              ${sections.map(([id, heading]) => markup`<li><a href="#${id}">${heading}</a></li>`)}
            </ul>
          </nav>
        </header>
        <main>
          ${sections.map(
            ([id, heading, content]) =>
              markup`<section id="${id}">
                <h2>${heading}</h2>
                ${content}
              </section>`,
          )}
        </main>
        ${playerScript(listening)}
      </body>
    </html>`.source;
}
