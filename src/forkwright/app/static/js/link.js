// Talking to the server. The newest question wins: while one is on its way only the latest other one waits,
// so a dragged slider never queues up, and the last position is always answered.
import { clear, tell } from "./notices.js";

const RETRY_MS = 700;
const QUICK_MS = 33; // two frames

export class Refused extends Error {
  constructor(body, status) {
    super(body.error ?? "the server refused without a reason");
    this.body = body;
    this.status = status;
  }
}

class Unreachable extends Error {}
class Dropped extends Error {}

// On a shared workbench every changing request carries the session's own token.
const formToken = document.querySelector("meta[name=form-token]")?.content ?? "";

async function ask(method, path, type, body, signal) {
  let response;
  try {
    response = await fetch(path, {
      method,
      headers: { ...(type ? { "content-type": type } : {}), ...(formToken ? { "x-form-token": formToken } : {}) },
      body,
      signal,
    });
  } catch {
    if (signal?.aborted) throw new Dropped();
    throw new Unreachable();
  }
  if (response.status === 401) document.dispatchEvent(new CustomEvent("bench:signed-out"));
  if (!response.ok) throw new Refused(await response.json().catch(() => ({})), response.status);
  clear("link");
  return response;
}

async function request(method, path, body, signal) {
  const sent = body === undefined ? [] : ["application/json", JSON.stringify(body), signal];
  return (await ask(method, path, ...sent)).json();
}

const lost = () =>
  tell("link", "The server does not answer. What you change is kept in this browser and sent as soon as it does.", "bad", false);

const pause = (ms) => new Promise((done) => setTimeout(done, ms));

// Ask once, and keep asking while the server cannot be reached.
async function patiently(method, path, body, stillWanted = () => true, signal = undefined) {
  for (;;) {
    try {
      return await request(method, path, body, signal);
    } catch (error) {
      if (error instanceof Dropped || signal?.aborted) return undefined;
      if (!(error instanceof Unreachable)) throw error;
      lost();
      await pause(RETRY_MS);
      if (!stillWanted()) return undefined;
    }
  }
}

export const get = (path) => patiently("GET", path);
export const post = (path, body) => patiently("POST", path, body);
export const remove = (path) => patiently("DELETE", path);

// For what must not be sent twice by itself: one try, and the caller says what became of it.
export const once = request;
export const upload = async (path, file) => (await ask("POST", path, "application/octet-stream", file)).json();
export const getText = async (path) => (await ask("GET", path)).text();

// `ahead` is how many questions may be on their way at a time: a second one lets a dragged slider be answered while
// the page draws what it was answered before. Where answers are slow it would only wait behind the first: then it is
// kept back, to take a newer position along. Answers are shown in the order of their questions; one that a later
// answer has passed is dropped.
export class Latest {
  #waiting = null;
  #away = 0;
  #sent = 0;
  #shown = 0;
  #took = [0, 0];
  #dropping = new AbortController();

  constructor(path, answered, refused = () => {}, { ahead = 1 } = {}) {
    Object.assign(this, { path, answered, refused, ahead });
  }

  // Whether a newer question is waiting or on its way already. Then curves may follow this answer, but nothing that
  // is being changed by hand may: it is ahead of the answer, and setting it back would lose a step.
  get overtaken() {
    return this.#waiting !== null || this.#sent > this.#shown;
  }

  ask(body) {
    this.#waiting = { body };
    this.#send();
  }

  // Ask no more, and give up what is on its way: the server stops working on it.
  drop() {
    this.#waiting = null;
    this.#dropping.abort();
    this.#dropping = new AbortController();
    this.#shown = this.#sent;
  }

  #send() {
    while (this.#waiting && this.#away < (Math.min(...this.#took) < QUICK_MS ? this.ahead : 1)) {
      const { body } = this.#waiting;
      this.#waiting = null;
      this.#away += 1;
      this.#answer(body, (this.#sent += 1));
    }
  }

  // The next question goes out before this answer is drawn, so that the server works meanwhile.
  async #answer(body, number) {
    const wanted = () => this.#waiting === null && number === this.#sent;
    const since = performance.now();
    let told = null;
    try {
      const answer = await patiently("POST", this.path, body, wanted, this.#dropping.signal);
      this.#took = [this.#took[1], performance.now() - since];
      if (answer !== undefined) told = () => this.answered(answer, body);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      told = () => this.refused(error, body);
    } finally {
      this.#away -= 1;
      this.#send();
    }
    if (!told || number < this.#shown) return;
    this.#shown = number;
    told();
  }
}
