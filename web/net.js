// One way to speak to the server, one shape of error back.

/** The server said no, in its one error shape; status 0 = it was not reached. */
export class Refused extends Error {
  /** @param {number} status @param {string} code @param {string} message @param {string} [field] */
  constructor(status, code, message, field) {
    super(message);
    this.status = status;
    this.code = code;
    this.field = field;
  }
}

/** @param {string} path @param {{method?: string, json?: any, body?: BodyInit, headers?: Record<string, string>, seconds?: number}} [how]
 * @returns {Promise<Response>} @throws {Refused} */
export async function ask(path, how = {}) {
  /** @type {Response} */
  let response;
  try {
    response = await fetch(path, {
      method: how.method ?? (how.json === undefined ? "GET" : "POST"),
      headers: { ...(how.json === undefined ? {} : { "content-type": "application/json" }), ...how.headers },
      body: how.json === undefined ? how.body : JSON.stringify(how.json),
      credentials: "same-origin",
      cache: "no-store",
      signal: AbortSignal.timeout((how.seconds ?? 30) * 1000),
    });
  } catch {
    throw new Refused(0, "unreachable", "");
  }
  if (response.ok) return response;
  let said;
  try {
    said = (await response.json()).error;
  } catch {
    said = null;
  }
  throw new Refused(response.status, said?.code ?? "unreadable", said?.message ?? "", said?.field ?? undefined);
}
