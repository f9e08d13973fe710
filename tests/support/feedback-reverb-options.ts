/** Drawn options of a feedback reverb, made to obey the rule between its octaves. */
import { type FeedbackReverbOptions, feedbackReverbParameters } from '../../src/reverb/feedback-reverb.ts';

const NAMES = [
  'decay125HzPercent',
  'decay250HzPercent',
  'decay500HzPercent',
  'decay1000HzPercent',
  'decay2000HzPercent',
  'decay4000HzPercent',
  'decay8000HzPercent',
] as const;

/** Brings each octave's decay within a factor of 2 of the octave below. */
export function smoothDecays(options: FeedbackReverbOptions): FeedbackReverbOptions {
  const smooth: Record<string, unknown> = { ...options };
  let below: number = options[NAMES[0]] ?? feedbackReverbParameters[NAMES[0]].default;
  for (const name of NAMES) {
    const drawn = options[name] ?? feedbackReverbParameters[name].default;
    below = Math.min(2 * below, Math.max(below / 2, drawn));
    smooth[name] = below;
  }
  return smooth;
}
