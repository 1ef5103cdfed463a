// Shapes that pass between modules; no code.
/**
 * @typedef {{typed: string | string[], unit: string}} NumberEntry
 * @typedef {NumberEntry | {word: string} | {yes: boolean} | {text: string}} Entry
 * @typedef {{typed: string, unit: string, document: string, revision?: string, page?: string}} MakerValue
 * @typedef {{id: string, schema: number, record: string, device: string, seq: number, previous: string | null,
 *   parents: string[], actor: string, kind: string, body: any, wall: string, offset_min: number, monotonic_ms: number}} Event
 * @typedef {Record<string, string>} Words text by language
 * @typedef {{id: string, name: string, login?: string, roles: string[], pin?: import("./pin.js").KeptPin, tries?: import("./pin.js").Tries}} Person
 */
export {};
