// What the worker says. /sw.js reads the catalogue of the language before this file, where there is
// one; without it English is said. `LANGUAGE` is said there, too.
self.gettext ??= (words) => words;

const filled = (words, values) => words.replace(/\{(\w+)\}/g, (_, name) => values[name]);

const UNITS = [["day", 86400], ["hour", 3600], ["minute", 60]];

function ago(then) {
  const seconds = (Date.now() - then) / 1000;
  for (const [unit, size] of UNITS) {
    const count = Math.floor(seconds / size);
    if (count >= 1) return new Intl.RelativeTimeFormat(self.LANGUAGE).format(-count, unit);
  }
  return gettext("a moment ago");
}
