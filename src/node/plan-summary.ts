/**
 * What `batterhead plan` tells: each microphone with its role and the reasons, each setting with its measurement.
 * @module
 */
import type { RoleGuess } from '../suggestion/guess-roles.ts';
import type { PlannedFolder } from './plan-folder.ts';
import { table } from './table.ts';

/** Below this a role is a guess that somebody should look at. */
const DOUBTFUL = 0.8;

/** Roles, settings and what to do next. */
export function planSummary({ roles, settings, planFile }: PlannedFolder): string {
  const nameOf = ({ file, channel }: RoleGuess) => (channel === undefined ? file : `${file}, channel ${channel}`);
  const doubtful = roles.filter(({ confidence }) => confidence < DOUBTFUL);
  return [
    table(
      ['file', 'role', 'sure %'],
      roles.map((guess) => [nameOf(guess), guess.role ?? '(left out)', (100 * guess.confidence).toFixed(0)]),
    ),
    '',
    ...roles.map((guess) => `${nameOf(guess)}: ${guess.reasons.join('; ')}`),
    '',
    ...settings.map(({ path, value, reason }) => `${path} = ${value}: ${reason}`),
    '',
    ...(doubtful.length > 0 ? [`Look at ${doubtful.map(nameOf).join(', ')}: less sure than ${100 * DOUBTFUL} %.`] : []),
    `written: ${planFile}`,
    `A starting point, not a mix. Next: batterhead mix ${planFile}`,
  ].join('\n');
}

/** All of it as JSON. */
export function planJson(planned: PlannedFolder): string {
  return JSON.stringify(planned, null, 2);
}
