// Short tones and vibration, the same patterns; each is shown as words by the caller.

/** @typedef {"soon" | "due" | "stored" | "refused"} Signal */

/** Hz, ms of the tone, ms of rest after it. @type {Record<Signal, [number, number, number][]>} */
const TONES = {
  soon: [[440, 80, 0]],
  due: [[880, 350, 0]],
  stored: [[1760, 12, 0]],
  refused: [[330, 120, 80], [330, 120, 0]],
};

/** @type {Record<Signal, number[]>} */
const VIBRATION = { soon: [80], due: [350], stored: [30], refused: [120, 80, 120] };

/** @type {AudioContext | null} */
let audio = null;

/** Browsers let a page sound only after a touch: called on the first one. */
export function unlock() {
  audio ??= "AudioContext" in window ? new AudioContext() : null;
  if (audio?.state === "suspended") audio.resume().catch(() => {});
}

/** @param {Signal} signal */
export function play(signal) {
  navigator.vibrate?.(VIBRATION[signal]);
  if (audio?.state !== "running") return;
  let at = audio.currentTime + 0.01;
  for (const [frequency, long, rest] of TONES[signal]) {
    const tone = new OscillatorNode(audio, { type: "square", frequency });
    const level = new GainNode(audio, { gain: 0.2 });
    tone.connect(level).connect(audio.destination);
    tone.start(at);
    tone.stop(at + long / 1000);
    at += (long + rest) / 1000;
  }
}
