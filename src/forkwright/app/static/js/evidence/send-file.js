// Sending a file to the server with a bar: the one place where the browser can say how much has gone.
import { element } from "../dom.js";
import { Refused } from "../link.js";

const formToken = document.querySelector("meta[name=form-token]")?.content ?? "";

export class Sending {
  #request = null;

  constructor(holder) {
    this.bar = element("progress", { max: "1", value: "0", "aria-label": "How much has been sent" });
    this.words = element("span", { class: "quiet", role: "status" });
    this.holder = holder;
    holder.classList.add("job-bar");
    holder.hidden = true;
    holder.replaceChildren(this.bar, this.words, element("button", { type: "button", class: "plain", onclick: () => this.#request?.abort() }, "Cancel"));
  }

  // Gives the server's account of the file; null when it was cancelled.
  send(path, file, name) {
    return new Promise((done, refused) => {
      const request = new XMLHttpRequest();
      this.#request = request;
      const end = (how) => () => {
        this.holder.hidden = true;
        this.#request = null;
        how();
      };
      request.open("POST", `${path}?name=${encodeURIComponent(name)}`);
      request.setRequestHeader("content-type", "application/octet-stream");
      if (formToken) request.setRequestHeader("x-form-token", formToken);
      request.responseType = "json";
      request.upload.addEventListener("progress", ({ loaded, total }) => this.#tell(loaded / (total || 1), name));
      request.addEventListener("load", end(() => {
        if (request.status === 401) document.dispatchEvent(new CustomEvent("bench:signed-out"));
        if (request.status < 300) done(request.response);
        else refused(new Refused(request.response ?? {}, request.status));
      }));
      request.addEventListener("error", end(() => refused(new Error("The file did not reach the server; is it still running?"))));
      request.addEventListener("abort", end(() => done(null)));
      this.#tell(0, name);
      this.holder.hidden = false;
      request.send(file);
    });
  }

  #tell(share, name) {
    this.bar.value = share;
    this.words.textContent = share < 1 ? `sending ${name}, ${Math.round(100 * share)} %` : `${name} has arrived`;
  }
}
