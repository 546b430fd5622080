// What scripts say, in the language of the page. The catalogue comes before them where there is one
// (core/languages/scripts.py); without it English is said.
//
// filled(gettext("Looping {from} to {to} s."), { from, to })

export const language = document.documentElement.lang;
export const gettext = (words) => self.gettext?.(words) ?? words;
export const ngettext = (one, many, count) =>
  self.ngettext?.(one, many, count) ?? (count === 1 ? one : many);

// Where one word of English has several meanings; a catalogue knows them apart by `context`.
export const pgettext = (context, words) => self.pgettext?.(context, words) ?? words;

export const filled = (words, values) => words.replace(/\{(\w+)\}/g, (_, name) => values[name]);

// For the eye: with the decimal sign of the language. What is sent has a full stop.
export const number = (value, places) =>
  value.toLocaleString(language, {
    minimumFractionDigits: places, maximumFractionDigits: places, useGrouping: false,
  });

export function size(bytes) {
  if (bytes < 1e6) return `${Math.ceil(bytes / 1000)} kB`;
  return `${number(bytes / 1e6, 1)} MB`;
}

export const moment = new Intl.DateTimeFormat(language, { dateStyle: "medium", timeStyle: "short" });
