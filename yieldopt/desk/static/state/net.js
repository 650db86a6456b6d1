// Questions to the desk's own server, and what it refuses, in its words.

export class Refused extends Error {
  /** @param {number} status @param {any} body */
  constructor(status, body) {
    super(body?.error ?? `the desk answered ${status}`);
    this.status = status;
    this.body = body;
  }
}

/** Which of the jobs that the desk has opened this window is about. @type {{job: string | null}} */
export const window_ = {job: null};

/**
 * @param {string} method
 * @param {string} path
 * @param {any} [body]
 */
export async function ask(method, path, body) {
  let answer;
  try {
    answer = await fetch(path, {
      method,
      headers: {
        "content-type": body instanceof Blob ? body.type : "application/json",
        "x-yieldopt": "1",
        ...(window_.job ? {"x-yieldopt-job": window_.job} : {}),
      },
      body: body === undefined || body instanceof Blob ? body : JSON.stringify(body),
    });
  } catch {
    throw new Refused(0, {
      error: "the desk doesn't answer: is it still running? Nothing typed here is lost.",
    });
  }
  const said = answer.headers.get("content-type")?.includes("json") ? await answer.json() : null;
  if (!answer.ok) throw new Refused(answer.status, said);
  return said;
}
