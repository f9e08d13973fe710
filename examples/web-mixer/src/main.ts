/**
 * The page: recordings, the table of strips, and what is heard.
 *
 *     kit or files -> worker -> session --+
 *     table -> plan ----------------------+--> player, and worker -> loudness of both sides
 *
 * @module
 */
import { ask } from './ask.ts';
import { byId, decibels } from './dom.ts';
import { demoPlan, setIn } from './plan.ts';
import { matchedGainsDb, Player, type Side } from './player.ts';
import { type LoudnessPair, SAMPLE_RATE_HZ, type Session } from './session.ts';
import { stripTable } from './strip-table.ts';

/** Time after the last change of a control at which the loudness is measured anew. */
const SETTLE_MS = 700;
const METER_MS = matchMedia('(prefers-reduced-motion: reduce)').matches ? 1000 : 66;

const plan = demoPlan();
const player = new Player();
const play = byId<HTMLButtonElement>('play');
const status = byId('status');
const fault = byId('fault');
const volume = byId<HTMLInputElement>('volume');
const tabs = new BroadcastChannel('batterhead web mixer');
let session: Session | undefined;
let loudness: LoudnessPair | undefined;

const table = stripTable(plan, (target, value) => {
  setIn(plan, target, value);
  try {
    player.graph?.set(target, value);
    tell('');
  } catch (error) {
    tell((error as Error).message);
  }
  measureSoon();
});
byId('strips').append(table.element);

function tell(message: string): void {
  fault.textContent = message;
}

// --- recordings

async function take(question: Parameters<typeof ask>[0] & { kind: 'simulate' | 'open' }, doing: string): Promise<void> {
  stop();
  play.disabled = true;
  status.textContent = doing;
  try {
    session = await ask(question);
    loudness = undefined;
    const seconds = (session.frames / SAMPLE_RATE_HZ).toFixed(1);
    const count = Object.keys(session.tracks).length;
    status.textContent = `${count} microphone${count === 1 ? '' : 's'}, ${seconds} s, in a loop.`;
    byId('notes').textContent = session.notes.join(' ');
    tell('');
    await measure();
  } catch (error) {
    status.textContent = session ? 'The recordings before these are still there.' : 'No recordings.';
    tell((error as Error).message);
  }
  play.disabled = !session;
}

const files = byId<HTMLInputElement>('files');
const open = (list: FileList | undefined | null) => {
  if (list?.length) void take({ kind: 'open', plan, files: [...list] }, 'Reading the files ...');
};
files.addEventListener('change', () => open(files.files));
addEventListener('dragover', (event) => event.preventDefault());
addEventListener('drop', (event) => {
  event.preventDefault();
  open(event.dataTransfer?.files);
});
byId('kit').addEventListener('click', () => void take({ kind: 'simulate', plan }, SIMULATING));

// --- loudness of both sides

let timer = 0;
let measuring = false;

function measureSoon(): void {
  clearTimeout(timer);
  timer = setTimeout(() => void measure(), SETTLE_MS);
}

async function measure(): Promise<void> {
  if (!session) return;
  if (measuring) {
    measureSoon();
    return;
  }
  measuring = true;
  try {
    loudness = await ask({ kind: 'loudness', plan, alignment: session.alignment });
    table.timing(loudness.endSamples);
    compare();
  } catch (error) {
    tell((error as Error).message);
  } finally {
    measuring = false;
  }
}

function compare(): void {
  const side = document.querySelector<HTMLInputElement>('input[name=side]:checked')?.value as Side;
  const gains = loudness ? matchedGainsDb(loudness) : { processed: 0, unprocessed: 0 };
  player.hear(side, gains);
  if (!loudness) return;
  const { processedLufs, unprocessedLufs } = loudness;
  const word = (lufs: number) => (Number.isFinite(lufs) ? `${lufs.toFixed(1)} LUFS` : 'silent');
  byId('match').textContent =
    `Processed ${word(processedLufs)}, unprocessed ${word(unprocessedLufs)}: ` +
    `the louder is turned down by ${Math.abs(gains.processed + gains.unprocessed).toFixed(1)} dB.`;
}

for (const radio of document.querySelectorAll('input[name=side]')) radio.addEventListener('change', compare);

// --- transport

async function start(): Promise<void> {
  if (!session) return;
  play.disabled = true;
  tell('');
  try {
    await player.play(plan, session);
    tabs.postMessage('playing');
    play.textContent = 'Stop';
    compare();
  } catch (error) {
    tell((error as Error).message);
  }
  play.disabled = false;
}

function stop(): void {
  player.stop();
  play.textContent = 'Play';
  table.meter(undefined);
}

play.addEventListener('click', () => (player.graph ? stop() : void start()));
tabs.onmessage = () => {
  if (!player.graph) return;
  stop();
  tell('Another tab of this page has begun to play, so this one has stopped.');
};
player.onFault = (message) => {
  stop();
  tell(`The audio thread reports: ${message}. Press Play to begin anew.`);
};
volume.addEventListener('input', () => {
  player.setVolume(volume.valueAsNumber);
  byId('volume-value').textContent = `${volume.value} dB`;
});

setInterval(() => {
  const meters = player.graph?.mixer.getMeters();
  if (!meters) return;
  table.meter(meters);
  byId('peak').textContent = decibels(20 * Math.log10(meters.peak));
}, METER_MS);

const SIMULATING = 'Simulating a drum kit ...';
void take({ kind: 'simulate', plan }, SIMULATING);
