import { addProcessors, createNode } from 'batterhead/worklet';

const button = document.querySelector('button');
button.onclick = async () => {
  const context = new AudioContext({ sampleRate: 48000 });
  await addProcessors(context);
  const chain = [
    { type: 'compressor', thresholdDb: -30, ratio: 4, attackMs: 5 },
    { type: 'softClipper', driveDb: 6 },
    { type: 'gain', gainDb: -48 },
  ];
  const louder = [{ block: 2, options: { gainDb: -12 }, frame: 48000 }];
  const { node } = createNode(context, chain, { channels: 1, automation: louder });

  const buffer = new AudioBuffer({ length: 24000, sampleRate: 48000 });
  const hit = buffer.getChannelData(0);
  for (let i = 0, y = 0.5; i < hit.length; i++, y *= 0.9995) hit[i] = i % 400 < 200 ? y : -y;
  const drum = new AudioBufferSourceNode(context, { buffer, loop: true });
  drum.connect(node).connect(context.destination);
  drum.start();
  button.textContent = 'Playing: quiet for a second, then louder';
};
