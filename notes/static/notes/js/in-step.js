// Plays several sounds in step and lets one of them be heard at a time.
//
// const sounds = new InStep([{ url, full, gain: -3.2, lead: 0.0021 }, …], seconds);
// await sounds.load(); sounds.play(); sounds.pick(1);
//
// All of them run from the same moment of one clock; picking only moves the gains, so the position
// stays what it is. `gain` is in dB; `lead` is how many seconds into a sound the common time begins.

import { filled, gettext } from "../../core/js/language.js";

const AWAKE_MS = 3000; // how long the device may take to begin
const SOON = 0.03; // seconds until a start, so that all sources are ready for it
const FADE = 0.002; // time constant; after 10 ms less than 1 % of the old sound is left

export class InStep extends EventTarget {
  constructor(sounds, seconds) {
    super();
    this.sounds = sounds;
    this.seconds = seconds;
    this.heard = 0;
    this.region = null; // [from, to] while a section is looped
    this.full = false;
    this.sources = null;
    this.rest = 0; // the position while nothing plays
  }

  get playing() {
    return this.sources !== null;
  }

  // Seconds of common time, right now.
  get position() {
    if (!this.playing) return this.rest;
    const at = this.from + Math.max(0, this.context.currentTime - this.began);
    if (!this.region) return Math.min(at, this.seconds);
    const [start, end] = this.region;
    return at < end ? at : start + ((at - start) % (end - start));
  }

  // Fetches and decodes what is not there yet. A small copy that cannot be played is replaced.
  async load() {
    this.context ??= new AudioContext();
    if (!this.output) {
      this.output = new GainNode(this.context);
      this.output.connect(this.context.destination);
    }
    await Promise.all(this.sounds.map((sound) => this.#fetched(sound)));
  }

  async #fetched(sound) {
    const key = this.full ? "full" : "url";
    sound.buffers ??= {};
    if (sound.buffers[key]) return;
    try {
      sound.buffers[key] = await this.#decoded(sound[key]);
    } catch (error) {
      if (this.full) throw error;
      sound.buffers[key] = sound.buffers.full ??= await this.#decoded(sound.full);
    }
  }

  async #decoded(url) {
    const answer = await fetch(url, { credentials: "same-origin" });
    if (!answer.ok) throw new Error(filled(gettext("The sound could not be fetched ({status})."), answer));
    const sound = await this.context.decodeAudioData(await answer.arrayBuffer());
    // Engines that tell by callback alone give nothing, and nothing would be played.
    if (!sound) throw new Error(gettext("This browser cannot decode them in the page."));
    return sound;
  }

  // Without anything to sound from, a browser may neither do it nor say so.
  async #awake() {
    const late = new Promise((resolve) => setTimeout(resolve, AWAKE_MS));
    await Promise.race([this.context.resume().catch(() => {}), late]);
    if (this.context.state !== "running") throw new Error(gettext("This device gives no sound."));
  }

  async play() {
    if (this.playing) return;
    await this.#awake();
    if (this.playing) return;
    const inside = !this.region || (this.rest >= this.region[0] && this.rest < this.region[1]);
    this.from = inside ? this.rest : this.region[0];
    if (this.from >= this.seconds) this.from = 0;
    this.began = this.context.currentTime + SOON;
    const fade = this.output.gain;
    fade.cancelScheduledValues(0);
    fade.setValueAtTime(0, this.context.currentTime);
    fade.setTargetAtTime(1, this.began, FADE);
    this.sources = this.sounds.map((sound, at) => this.#started(sound, at));
    this.#tell();
  }

  #started(sound, at) {
    const buffer = sound.buffers[this.full ? "full" : "url"];
    const source = new AudioBufferSourceNode(this.context, { buffer });
    const gain = new GainNode(this.context, { gain: at === this.heard ? level(sound) : 0 });
    source.connect(gain).connect(this.output);
    if (this.region) {
      source.loop = true;
      source.loopStart = this.region[0] + sound.lead;
      source.loopEnd = this.region[1] + sound.lead;
      source.start(this.began, this.from + sound.lead);
    } else {
      source.start(this.began, this.from + sound.lead, this.seconds - this.from);
    }
    source.addEventListener("ended", () => this.#ended(source));
    return { source, gain };
  }

  #ended(source) {
    // The first to end is as good as any: they all play for the same time.
    if (this.sources?.[0].source !== source) return;
    this.sources = null;
    this.rest = 0;
    this.#tell();
  }

  pause() {
    if (!this.playing) return;
    this.rest = this.position;
    const now = this.context.currentTime;
    const gone = this.sources;
    this.sources = null;
    for (const { source, gain } of gone) {
      gain.gain.cancelScheduledValues(now);
      gain.gain.setTargetAtTime(0, now, FADE);
      source.stop(now + 8 * FADE);
    }
    this.#tell();
  }

  // Which clip plays. Takes effect within 10 ms, wherever playback is.
  pick(at) {
    if (!this.sounds[at]) return;
    this.heard = at;
    this.#level();
    this.#tell();
  }

  // Gains in dB, one for each sound, from now on.
  match(gains) {
    this.sounds.forEach((sound, at) => {
      sound.gain = gains[at];
    });
    this.#level();
  }

  #level() {
    if (!this.playing) return;
    const now = this.context.currentTime;
    this.sources.forEach(({ gain }, each) => {
      gain.gain.cancelScheduledValues(now);
      gain.gain.setTargetAtTime(each === this.heard ? level(this.sounds[each]) : 0, now, FADE);
    });
  }

  seek(seconds) {
    const [low, high] = this.region ?? [0, this.seconds];
    this.#again(() => {
      this.rest = Math.min(Math.max(seconds, low), Math.max(low, high - 0.01));
    });
  }

  // Plays one section over and over; null lets the whole go by again. Refuses one of nothing.
  loop(region) {
    if (region && !(region[1] - region[0] >= 0.1)) return false;
    this.#again(() => {
      this.region = region;
    });
    return true;
  }

  // Whether the full copies are played. They are fetched when that is first asked for.
  async useFull(full) {
    const before = this.full;
    this.full = full;
    try {
      await this.load();
    } catch (error) {
      this.full = before;
      throw error;
    }
    this.#again(() => {});
  }

  #again(change) {
    const playing = this.playing;
    this.pause();
    change();
    if (playing) this.play();
    else this.#tell();
  }

  #tell() {
    this.dispatchEvent(new Event("change"));
  }
}

function level(sound) {
  return 10 ** (sound.gain / 20);
}
