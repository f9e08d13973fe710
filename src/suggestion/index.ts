/**
 * Suggestion: a plan for a recording of which nothing is known but its files.
 *
 * @module
 */
export { type GateProblem, gateThreshold, type GateThreshold, type GateTimes } from './gate-threshold.ts';
export { guessRoles, type MicrophoneRole, microphoneRoles, type RoleGuess } from './guess-roles.ts';
export type { UnknownMicrophone } from './listening.ts';
export { preDelayMs } from './pre-delay.ts';
export type { SuggestedSetting } from './suggested-setting.ts';
export { type RecordedFile, type SuggestedPlan, suggestPlan } from './suggest-plan.ts';
export type { Tempo } from './tempo.ts';
