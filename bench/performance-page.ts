/** The page `docs/performance.md`, from what the benchmarks have recorded. */
import { writeFileSync } from 'node:fs';
import { blocksSection } from './blocks-section.ts';
import { readResults, readRivals, readScaling } from './results.ts';
import { rivalsSection } from './rivals-section.ts';
import { scalingSection } from './scaling-section.ts';
import { sessionSection } from './session-section.ts';

/** Writes the page; sections whose benchmark has never run are left out. */
export function writePage(): void {
  const results = readResults(),
    rivals = readRivals(),
    scaling = readScaling();
  const sections = [
    `# Performance

What the library costs, measured by itself: processor time, each case in a process of its own, in turns with what it is
compared with. Absolute times differ between machines; compare ratios.`,
    ...(rivals ? [rivalsSection(rivals)] : []),
    ...(results ? [sessionSection(results)] : []),
    ...(scaling ? [scalingSection(scaling)] : []),
    ...(results ? [blocksSection(results)] : []),
  ];
  writeFileSync('docs/performance.md', `${sections.join('\n\n')}\n`);
}
