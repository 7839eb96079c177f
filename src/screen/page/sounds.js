// Sounds that can be told apart without looking: pitch, rhythm and tone all differ. Made here; no files.

let context = null;

// [start s, length s, from Hz, to Hz, wave, loudness]
const patterns = {
  slower: { every: 1.6, notes: [[0, 0.09, 520, 520, "triangle", 0.5], [0.18, 0.09, 520, 520, "triangle", 0.5]] },
  look: { every: 3, notes: [[0, 0.16, 660, 660, "sine", 0.6], [0.2, 0.16, 830, 830, "sine", 0.6], [0.4, 0.3, 990, 990, "sine", 0.6]] },
  stop: { every: 0.8, notes: [[0, 0.36, 880, 880, "square", 0.5], [0.4, 0.36, 620, 620, "square", 0.5]] },
  kept: { notes: [[0, 0.14, 740, 740, "sine", 0.5]] },
  now: { notes: [[0, 0.08, 1180, 1180, "triangle", 0.6], [0.12, 0.2, 1560, 1560, "triangle", 0.6]] },
  blind: { every: 1.4, notes: [[0, 0.9, 420, 160, "sawtooth", 0.5]] },
};

let playing = null, timer = null;

// Browsers let a page sound only after a touch or a key; the sound test before each job is that touch.
export async function wake() {
  context ??= new AudioContext();
  if (context.state !== "running") await context.resume();
  return context.state === "running";
}

export const awake = () => context !== null && context.state === "running";

export function once(name) {
  if (!awake()) return;
  const now = context.currentTime + 0.02;
  for (const [start, length, from, to, wave, loudness] of patterns[name].notes) {
    const tone = context.createOscillator(), volume = context.createGain();
    tone.type = wave;
    tone.frequency.setValueAtTime(from, now + start);
    tone.frequency.linearRampToValueAtTime(to, now + start + length);
    volume.gain.setValueAtTime(0, now + start);
    volume.gain.linearRampToValueAtTime(loudness, now + start + 0.01);
    volume.gain.setValueAtTime(loudness, now + start + length - 0.02);
    volume.gain.linearRampToValueAtTime(0, now + start + length);
    tone.connect(volume).connect(context.destination);
    tone.start(now + start);
    tone.stop(now + start + length);
  }
}

// Goes on until another name, or null.
export function keep(name) {
  if (name === playing) return;
  playing = name;
  clearInterval(timer);
  if (!name) return;
  once(name);
  timer = setInterval(() => once(name), patterns[name].every * 1000);
}

export const kept = () => playing;
