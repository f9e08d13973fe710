/**
 * batterhead: measured, documented building blocks for drum recordings, and a renderer that runs a whole drum mix from one
 * plan. Everything public but the file access of `batterhead/node` and the nodes of `batterhead/worklet`.
 *
 * Over 300 lines because it is one list of names.
 *
 * @module
 */
export { Bypass, type BypassOptions, bypassParameters } from './core/bypass.ts';
export { Chain, type ChainKey, type ChainOptions } from './core/chain.ts';
export { dbToGain, gainToDb } from './core/decibels.ts';
export { DelayLine } from './core/delay-line.ts';
export { Delay, type DelayOptions, delayParameters } from './core/delay.ts';
export { ComplexFft, RealFft } from './core/fft.ts';
export { Gain, type GainOptions, gainParameters } from './core/gain.ts';
export type { JsonSchema } from './core/json-check.ts';
export { MidSide, type MidSideOptions, midSideParameters } from './core/mid-side.ts';
export type {
  ChoiceRow,
  NumberRow,
  ParameterOptions,
  ParameterRow,
  ParameterTable,
  ParameterValue,
  ParameterValues,
  SwitchRow,
} from './core/parameters.ts';
export { Polarity, type PolarityOptions, polarityParameters } from './core/polarity.ts';
export { ParameterShell } from './core/parameter-shell.ts';
export type { Channels, Part, Processor, Side, StreamFormat, Trace, WaitingSet } from './core/processor.ts';
export { Random } from './core/random.ts';
export { type Samples, type SampleSource, sourceOf } from './core/sample-source.ts';
export { restoreState, type SavedSettings, type SavedState, saveState } from './core/saved-state.ts';
export { Shell } from './core/shell.ts';
export type {
  CurveInPlace,
  OversamplingStages,
  SectionRunner,
  SimdCompressor,
  SimdKernels,
  SimdRows,
  TankDelays,
  TankLoops,
  TankMemory,
} from './core/simd-kernels.ts';
export { SlidingMinimum } from './core/sliding-minimum.ts';
export { timeConstantFromNinety, timeConstantFromRise } from './core/smoothing.ts';
export { positionOfValue, valueAtPosition } from './core/taper.ts';
export { type FrequencyBand, type ThirdOctaveBand, thirdOctaveBands } from './core/third-octaves.ts';
export {
  besselI0,
  blackman,
  blackmanHarris,
  flatTop,
  hamming,
  hann,
  kaiser,
  rectangular,
  triangular,
  type WindowOptions,
} from './core/windows.ts';
export { BandSplit, type BandSplitOptions, bandSplitParameters } from './filters/band-split.ts';
export { BiquadCascade } from './filters/biquad-cascade.ts';
export type { BiquadCoefficients, CornerOptions, ResonanceOptions } from './filters/biquad-coefficients.ts';
export {
  allpass,
  bandpass,
  bandpassConstantSkirt,
  highpass,
  lowpass,
  notch,
  peaking,
  type PeakingOptions,
} from './filters/biquad-design.ts';
export { butterworthHighpass, butterworthLowpass, type ButterworthOptions } from './filters/butterworth.ts';
export { type Crossover, linkwitzRiley, type LinkwitzRileyOptions } from './filters/crossover.ts';
export { DcBlocker, type DcBlockerOptions, dcBlockerParameters } from './filters/dc-blocker.ts';
export {
  type EqualiserBandOptions,
  equaliserBandParameters,
  type EqualiserBandType,
  type EqualiserBandValues,
} from './filters/equaliser-bands.ts';
export { Equaliser, type EqualiserOptions, equaliserParameters, type EqualiserTable } from './filters/equaliser.ts';
export { firResponse } from './filters/fir-response.ts';
export {
  firstOrderAllpass,
  firstOrderHighpass,
  firstOrderHighShelf,
  firstOrderLowpass,
  firstOrderLowShelf,
  type FirstOrderShelfOptions,
} from './filters/first-order-design.ts';
export { FractionalDelay, type FractionalDelayOptions, fractionalDelayParameters } from './filters/fractional-delay.ts';
export { FractionalShift } from './filters/fractional-shift.ts';
export {
  halfBandTaps,
  kaiserBeta,
  kaiserOrder,
  type KernelOptions,
  lowpassTaps,
  type LowpassTapsOptions,
  windowedSinc,
} from './filters/kaiser-design.ts';
export { MonoBelow, type MonoBelowOptions, monoBelowParameters } from './filters/mono-below.ts';
export { Oversampler, type OversamplingFactor } from './filters/oversampler.ts';
export { PhaseRotator, type PhaseRotatorOptions, phaseRotatorParameters } from './filters/phase-rotator.ts';
export { resample, Resampler, type ResamplerOptions } from './filters/resampler.ts';
export { type FrequencyResponse, frequencyResponse, type ResponseOptions } from './filters/response.ts';
export { highShelf, lowShelf, type ShelfOptions } from './filters/shelf-design.ts';
export { type ByteSink, type ByteSource, bytesSource, BytesSink } from './wav/byte-io.ts';
export { type DecodedWav, decodeWav } from './wav/decode-wav.ts';
export { type EncodeWavOptions, encodeWav } from './wav/encode-wav.ts';
export { WavReader } from './wav/reader.ts';
export { type SampleEncoding, WavError, type WavFormat } from './wav/wav-format.ts';
export { type WavSummary, WavWriter } from './wav/writer.ts';
export type { WavWriterOptions } from './wav/writer-options.ts';
export { type Axis, type AxisOptions, decibelAxis, frequencyAxis, linearAxis } from './plots/axis.ts';
export type { Chart, ChartHead } from './plots/chart.ts';
export { correlationChart, type CorrelationChartOptions } from './plots/correlation-chart.ts';
export { drawChart, drawCharts } from './plots/draw-charts.ts';
export {
  frequencyResponseChart,
  type FrequencyResponseChartOptions,
  type LevelCurve,
  staticCurveChart,
  type StaticCurveChartOptions,
} from './plots/level-charts.ts';
export { mapChart, type MapChartOptions, type MapStep } from './plots/map-chart.ts';
export type { AreaMark, Cell, CellsMark, Dash, DataMark, LineMark, Mark, PointsMark, RuleMark } from './plots/marks.ts';
export type { AxisRange } from './plots/range.ts';
export type { Tick } from './plots/ticks.ts';
export {
  timeChart,
  type TimeChartOptions,
  type TimeRule,
  type TimeTrace,
  waveformChart,
  type WaveformChartOptions,
} from './plots/time-chart.ts';
export { Compressor, type CompressorOptions, compressorParameters } from './dynamics/compressor.ts';
export { DynamicBand, type DynamicBandOptions, dynamicBandParameters } from './dynamics/dynamic-band.ts';
export type { DynamicsParts } from './dynamics/dynamics-shell.ts';
export {
  EnvelopeFollower,
  type EnvelopeFollowerOptions,
  envelopeFollowerParameters,
} from './dynamics/envelope-follower.ts';
export { Expander, type ExpanderOptions, expanderParameters } from './dynamics/expander.ts';
export { Gate, type GateOptions, gateParameters } from './dynamics/gate.ts';
export { Limiter, type LimiterOptions, limiterParameters } from './dynamics/limiter.ts';
export {
  type CurveOptions,
  expansionCurve,
  type ExpansionOptions,
  staticCurve,
  staticGain,
  upwardCurve,
} from './dynamics/static-curve.ts';
export { antiderivativeForm } from './saturation/antiderivative-form.ts';
export type { ClippingCurve, Corner, CurveIntegrals } from './saturation/clipping-curve.ts';
export { cubicCurve, hardCurve, tanhCurve } from './saturation/curve-integrals.ts';
export {
  TransientShaper,
  type TransientShaperOptions,
  transientShaperParameters,
} from './dynamics/transient-shaper.ts';
export {
  UpwardCompressor,
  type UpwardCompressorOptions,
  upwardCompressorParameters,
} from './dynamics/upward-compressor.ts';
export { cubicClip, hardClip, tanhClip } from './saturation/curves.ts';
export {
  type HarmonicsOptions,
  type IntermodulationOptions,
  type IntermodulationShares,
  measureHarmonics,
  measureIntermodulation,
  type Nonlinearity,
  totalHarmonicDistortion,
} from './saturation/distortion.ts';
export { HardClipper, type HardClipperOptions, hardClipperParameters } from './saturation/hard-clipper.ts';
export { Hysteresis, type HysteresisOptions, hysteresisParameters } from './saturation/hysteresis.ts';
export { langevin, langevinSlope } from './saturation/langevin.ts';
export { magnetise, type Material } from './saturation/magnetisation.ts';
export { type SaturationCurve, type SaturationCurveName, saturationCurves } from './saturation/saturation-curves.ts';
export { Saturator, type SaturatorOptions, saturatorParameters } from './saturation/saturator.ts';
export { SoftClipper, type SoftClipperOptions, softClipperParameters } from './saturation/soft-clipper.ts';
export { absorption, type Absorption, combGain } from './reverb/absorption.ts';
export { Allpass } from './reverb/allpass.ts';
export { Comb } from './reverb/comb.ts';
export {
  ConvolutionReverb,
  type ConvolutionReverbOptions,
  convolutionReverbParameters,
  type ImpulseResponse,
} from './reverb/convolution-reverb.ts';
export {
  type DecayMeasures,
  type DecayOptions,
  decayParameters,
  measureDecay,
  measureOctaveDecays,
  type OctaveDecay,
} from './reverb/decay-measurement.ts';
export {
  type EchoDensity,
  echoDensity,
  type EchoDensityOptions,
  echoDensityParameters,
} from './reverb/echo-density.ts';
export { FeedbackNetwork, type NetworkSettings } from './reverb/feedback-network.ts';
export { FeedbackReverb, type FeedbackReverbOptions, feedbackReverbParameters } from './reverb/feedback-reverb.ts';
export { findNoiseFloor, type NoiseFloor } from './reverb/noise-floor.ts';
export { octaveBands, octaveCentresHz } from './reverb/octave-bands.ts';
export { nextPrime } from './reverb/primes.ts';
export { type Place, type Reflection, type RoomSize, shoeboxReflections } from './reverb/shoebox.ts';
export { SchroederReverb, type SchroederReverbOptions, schroederReverbParameters } from './reverb/schroeder-reverb.ts';
export { type ErbBand, erbBands, erbFrequency, erbNumber, erbWidthHz } from './meters/erb-bands.ts';
export { correlation, CorrelationMeter } from './meters/correlation.ts';
export { hitPunch, type HitPunch, type HitPunchOptions } from './meters/hit-punch.ts';
export { kWeighting } from './meters/k-weighting.ts';
export { type ChannelLevel, LevelMeter } from './meters/level-meter.ts';
export { loudnessWeights, type LoudspeakerLayout } from './meters/loudness-weights.ts';
export { type LoudnessFigures, LoudnessMeter, measureLoudness } from './meters/loudness.ts';
export { measureLevels, type ProgrammeFigures, ProgrammeMeter } from './meters/programme-meter.ts';
export { type BandLevel, bandSpectrum, SpectrumMeter } from './meters/spectrum.ts';
export { measureTruePeak, TruePeakMeter, type TruePeakMethod, type TruePeakOptions } from './meters/true-peak.ts';
export { aWeightingDb, cWeightingDb } from './meters/weighting.ts';
export type { DelayWeighting } from './alignment/cross-spectrum.ts';
export {
  type DelayEstimate,
  estimateDelay,
  type EstimateDelayOptions,
  type HitDelay,
} from './alignment/delay-estimate.ts';
export { alignKit } from './alignment/align-kit.ts';
export { alignmentTable } from './alignment/alignment-table.ts';
export type {
  AlignKitOptions,
  AlignmentMethod,
  AlignmentMove,
  KitAlignment,
  KitMicrophone,
  PairAlignment,
} from './alignment/kit-alignment.ts';
export { type AlignedMicrophones, applyAlignment, movedSource } from './alignment/apply-alignment.ts';
export { drawPair, type PairPicture } from './alignment/draw-pair.ts';
export { type AlignmentMoves, type AppliedMoves, inverseMoves, leadOf } from './alignment/moves.ts';
export { type PhaseRotation, type PhaseRotationOptions, searchPhaseRotation } from './alignment/phase-rotation.ts';
export {
  type BandLoss,
  type SummationLoss,
  summationLoss,
  type SummationLossOptions,
} from './alignment/summation-loss.ts';
export type { SearchRange } from './alignment/search-range.ts';
export { detectHits, type DetectHitsOptions, detectHitsParameters, type DrumMicrophone } from './hits/detect-hits.ts';
export {
  type DeletedHit,
  type Hit,
  type HitList,
  hitListOf,
  type HitSource,
  hitSources,
  parseHitList,
  type RejectedHit,
} from './hits/hit-list.ts';
export type { Complex } from './hits/hermitian-solve.ts';
export { hitListSchema } from './hits/hit-list-schema.ts';
export { hitsFromCsv, hitsToCsv } from './hits/hits-csv.ts';
export { type DrumKind, drumKinds, type KeyBand, keyBandOf } from './hits/key-bands.ts';
export { addHit, mergeHits, removeHit } from './hits/merge-hits.ts';
export {
  type Onset,
  OnsetDetector,
  type OnsetDetectorOptions,
  onsetDetectorParameters,
} from './hits/onset-detector.ts';
export { type HitScore, scoreHits, type VelocityClassScore } from './hits/score-hits.ts';
export { dbOfVelocity, velocityCurveParameters, type VelocityCurveOptions, velocityOfDb } from './hits/velocity.ts';
export type { BlendedSample } from './hits/blended-samples.ts';
export { BleedReduction } from './hits/bleed-reduction.ts';
export { HitKey, type HitKeyOptions, hitKeyParameters } from './hits/hit-key.ts';
export { HitLayers } from './hits/hit-layers.ts';
export { type LayeredHits, layerHits } from './hits/layer-hits.ts';
export { type LayerOptions, layerParameters, type LayerValues } from './hits/layer-parameters.ts';
export { type BleedFilter, type BleedOptions, bleedParameters, learnBleedFilter } from './hits/learn-bleed.ts';
export type { VelocityLayer } from './hits/layer-samples.ts';
export { type LayerHit, type LayerPlacement, type PlacedLayers, placeLayers } from './hits/place-layers.ts';
export { simdKernels } from './simd/simd-kernels.ts';
export type { PerMicrophone, PerPath } from './simulation/acoustics.ts';
export { type Air, airLossDbPerMetre, speedOfSound } from './simulation/air.ts';
export { defaultKitLayout, type KitLayout, microphoneTargets } from './simulation/layout.ts';
export type { DrumPlace, MicrophonePlace } from './simulation/microphone.ts';
export {
  type DrumName,
  drumNames,
  type MicrophoneName,
  microphoneNames,
  type StrokeName,
  strokeNames,
} from './simulation/names.ts';
export type { OneShot, OneShots } from './simulation/one-shots.ts';
export { type SimulationParameters, simulationParameters } from './simulation/parameters.ts';
export type { WantedStroke } from './simulation/require-options.ts';
export type { Room } from './simulation/room.ts';
export {
  type KitTruth,
  type SimulatedKit,
  simulateKit,
  type SimulateKitOptions,
  type TrueHit,
} from './simulation/simulate-kit.ts';
export type { Vector } from './simulation/vectors.ts';
export {
  type BlindScore,
  type BlindTest,
  blindTest,
  type BlindTestKind,
  type BlindTrial,
  scoreBlindTest,
} from './comparison/blind-test.ts';
export { type Excerpt, excerptOf, type ExcerptOptions, levelMatch } from './comparison/excerpts.ts';
export { type Recording, recordingOf } from './comparison/recording.ts';
export {
  type BandMasking,
  type MaskingOptions,
  type MaskingReport,
  maskingReport,
  type Stem,
} from './comparison/masking.ts';
export { barkOf, spreadingDb } from './comparison/masking-model.ts';
export type { Quantity } from './comparison/quantities.ts';
export { compareWithReferences, type ComparedQuantity, type ReferenceComparison } from './comparison/references.ts';
export { type BlockPlan, type HitKeyPlan, parseBlock } from './blocks/block-plan.ts';
export { type BlockParts, type BlockType, blockTypes } from './blocks/block-types.ts';
export { matchLoudness } from './blocks/match-loudness.ts';
export { parameterDescriptions } from './blocks/parameter-descriptions.ts';
export { createBlock, type RunningBlock } from './blocks/create-block.ts';
export { arrayInput } from './mix/array-input.ts';
export { type AlignedPair, alignInputs, type InputAlignment } from './mix/align-inputs.ts';
export { alignmentMoveParameters, alignmentParameters, type AlignmentPlan } from './mix/alignment-plan.ts';
export { type AlignmentReport, alignmentReport, type PairReport } from './mix/alignment-report.ts';
export { contextParameters, type ContextPlan, referenceParameters, type ReferencePlan } from './mix/comparison-plan.ts';
export { type CostEstimate, estimateCost, type EstimateCostOptions } from './mix/estimate-cost.ts';
export type { AddedHitPlan, DrumPlan, HitsPlan, LayerFilesPlan, LayerPlan } from './mix/hits-plan.ts';
export type { GainReport } from './mix/gain-trace.ts';
export type { DrumHitsReport, HitsReport } from './mix/hits-report.ts';
export type { HitResources } from './mix/prepare-hits.ts';
export type { MixInput } from './mix/input-reader.ts';
export { type InputLevels, MeteredInput } from './mix/metered-input.ts';
export { panGains, type PanLaw, panMatrix } from './mix/pan.ts';
export { parsePlan } from './mix/parse-plan.ts';
export { mixPlanSchema } from './mix/plan-schema.ts';
export {
  type AutomationPlan,
  type BusPlan,
  type ChannelPlan,
  type InputPlan,
  type MixBusPlan,
  type MixPlan,
  type OutputPlan,
  type SendPlan,
} from './mix/plan.ts';
export type { MixSink } from './mix/mix-run.ts';
export { type MixReport, renderMix, type RenderOptions } from './mix/renderer.ts';
export type { BlockReport, StripReport } from './mix/strip-report.ts';
export { type GateProblem, gateThreshold, type GateThreshold, type GateTimes } from './suggestion/gate-threshold.ts';
export { guessRoles, type MicrophoneRole, microphoneRoles, type RoleGuess } from './suggestion/guess-roles.ts';
export type { UnknownMicrophone } from './suggestion/listening.ts';
export { preDelayMs } from './suggestion/pre-delay.ts';
export type { SuggestedSetting } from './suggestion/suggested-setting.ts';
export { type RecordedFile, type SuggestedPlan, suggestPlan } from './suggestion/suggest-plan.ts';
export type { Tempo } from './suggestion/tempo.ts';
export { type ListeningPair, listeningPair } from './report/listening.ts';
export { type MaskedPart, maskedPart } from './report/masked-part.ts';
export type {
  FileReport,
  Harm,
  InputFileReport,
  MixFileReport,
  SoundReport,
  Warning,
} from './report/mix-file-report.ts';
export { type LoudnessOverTime, MixMeter } from './report/mix-meter.ts';
export { reportCsv } from './report/report-csv.ts';
export { type DrawnPair, reportHtml, type ReportParts } from './report/report-html.ts';
export { type JudgedReport, warningsOf } from './report/warnings.ts';
