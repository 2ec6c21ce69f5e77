// Tones and vibration for the timers. A phone lets a page sound only after it was touched once, and some never; so
// nothing depends on being heard: what sounds is always said on the screen too.

export interface Sounds {
  /** To be called on the first touch or key. */
  wake(): void;
  tick(): void;
  call(): void;
  alarm(): void;
}

export function phoneSounds(isOn: () => boolean): Sounds {
  let audio: AudioContext | undefined;
  const tone = (hertz: number, afterSeconds: number, seconds: number): void => {
    if (audio === undefined || !isOn()) return;
    const begin = audio.currentTime + afterSeconds;
    const source = audio.createOscillator();
    const gain = audio.createGain();
    source.frequency.value = hertz;
    gain.gain.setValueAtTime(0.0001, begin);
    gain.gain.exponentialRampToValueAtTime(0.5, begin + 0.02);
    gain.gain.exponentialRampToValueAtTime(0.0001, begin + seconds);
    source.connect(gain).connect(audio.destination);
    source.start(begin);
    source.stop(begin + seconds + 0.05);
  };
  const shake = (pattern: number[]): void => {
    if (isOn()) navigator.vibrate?.(pattern);
  };
  return {
    wake() {
      try {
        audio ??= new AudioContext();
        if (audio.state === 'suspended') void audio.resume();
      } catch {
        audio = undefined;
      }
    },
    tick() {
      tone(660, 0, 0.08);
      shake([30]);
    },
    call() {
      tone(880, 0, 0.35);
      shake([200]);
    },
    alarm() {
      for (const [i, hertz] of [880, 660, 880, 660, 880].entries()) tone(hertz, i * 0.4, 0.35);
      shake([400, 200, 400, 200, 400]);
    },
  };
}
