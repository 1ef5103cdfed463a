// What lies beside a handbook: its figures, and its texts in other languages. The twin of handbook/texts.py.

// At the top of a bundle these hold no text of their own; figures are walked last, as the pack counts them.
const OUTSIDE = new Set(["packs", "languages", "drawings"]);

/** The packs that a bundle names: [name, hash]. @param {any} bundle @returns {[string, string][]} */
export const packsOf = (bundle) => Object.entries(bundle.packs ?? {});

/** Each text in the fixed order: `{en: ...}` itself, or a catalogue of sentences. @param {any} data @param {(words: any) => void} text @param {(catalogue: any) => void} catalogue */
function walk(data, text, catalogue, outside = new Set()) {
  if (Array.isArray(data)) {
    for (const one of data) if (one && typeof one === "object") walk(one, text, catalogue);
  } else if (typeof data.en === "string") text(data);
  else if (data.en && typeof data.en === "object") catalogue(data);
  else
    for (const name of Object.keys(data).sort())
      if (!outside.has(name) && data[name] && typeof data[name] === "object") walk(data[name], text, catalogue);
}

/** Give every text of a bundle its words in the pack's language. What has its own keeps it; `unreviewed` names the languages
 * that nobody of the trade has read. Doing it again, when the figures have come, is harmless.
 * @param {any} bundle @param {{lang: string, texts: (string | null)[], unreviewed: number[]}} pack */
export function layIn(bundle, { lang, texts, unreviewed }) {
  const unread = new Set(unreviewed);
  /** @type {Map<string, number>} */
  const seen = new Map();
  const at = (/** @type {string} */ context, /** @type {string} */ en) => {
    const key = `${context}\u0004${en}`;
    if (!seen.has(key)) seen.set(key, seen.size);
    return /** @type {number} */ (seen.get(key));
  };
  const text = (/** @type {any} */ words) => {
    const n = at(words.context ?? "", words.en);
    if (words[lang] !== undefined || typeof texts[n] !== "string") return;
    words[lang] = texts[n];
    if (unread.has(n)) words.unreviewed = [...(words.unreviewed ?? []), lang];
  };
  const catalogue = (/** @type {any} */ words) => {
    words[lang] ??= {};
    let read = true;
    for (const name of Object.keys(words.en).sort()) {
      const n = at("", words.en[name]);
      words[lang][name] = texts[n] ?? words.en[name];
      if (unread.has(n)) read = false;
    }
    if (!read) words.unreviewed = [...new Set([...(words.unreviewed ?? []), lang])];
  };
  walk(bundle, text, catalogue, OUTSIDE);
  if (bundle.drawings) walk(bundle.drawings, text, catalogue);
}
