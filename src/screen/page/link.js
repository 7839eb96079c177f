// The line to the server: newest state in, acts out. Says within a second when it hears nothing.

// Does somebody rely on being watched now? At the end of a series the readings are worked out, and nothing is read.
export const is_watched = (state) => ["opening", "ready", "running", "calibrating"].includes(state?.stage) && state.at !== "over";

const silent_after_ms = 600;   // the server speaks at least every 150 ms
const look_every_ms = 40, late_look_ms = 150, catch_up_ms = 250;
const retry_ms = 700;

export class Link {
  constructor(on_state, on_link) {
    this.key = document.querySelector('meta[name="halfturn-key"]').content;
    this.on_state = on_state;
    this.on_link = on_link;
    this.heard_at = performance.now();
    this.state_at = this.heard_at;
    this.alive = null;
    this.state = null;
    this.catching_up = false;
    this.connect();
    setInterval(() => this.look_in_time(), look_every_ms);
    this.looked_at = this.heard_at;
  }

  connect() {
    this.tried_at = performance.now();
    const socket = new WebSocket(`ws://${location.host}/live`);
    this.socket = socket;
    socket.onmessage = (event) => {
      if (socket !== this.socket) return;
      this.heard_at = performance.now();
      const message = JSON.parse(event.data);
      if (message.t === "state") {
        this.state_at = this.heard_at;
        this.state = message;
        this.on_state(message);
      }
      this.look();
    };
  }

  // When this page itself was held up, what it heard meanwhile still waits in line; and when the whole machine was, the server
  // speaks again within its own time. That comes first.
  look_in_time() {
    const now = performance.now(), late = now - this.looked_at > late_look_ms;
    this.looked_at = now;
    if (this.catching_up) return;
    if (!late) return this.look();
    this.catching_up = true;
    setTimeout(() => {
      this.catching_up = false;
      this.look();
    }, catch_up_ms);
  }

  // A server that lives while the job's loop has stopped is no watcher either: in a job, the state itself must be fresh.
  look() {
    const now = performance.now();
    const in_job = is_watched(this.state);
    const alive = now - this.heard_at < silent_after_ms && (!in_job || now - this.state_at < silent_after_ms);
    if (alive !== this.alive) {
      this.alive = alive;
      this.on_link(alive, this.state);
    }
    if (now - this.heard_at > silent_after_ms && now - this.tried_at > retry_ms) {
      this.socket.close();
      this.reload_key();
    }
  }

  // A server that was started anew has a new key; the page asks for it like any visitor.
  async reload_key() {
    this.tried_at = performance.now();
    try {
      const answer = await fetch("/", { cache: "no-store" });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      this.key = page.querySelector('meta[name="halfturn-key"]').content;
      this.connect();
    } catch {
      // Still gone; look() tries again.
    }
  }

  // Something to be kept: {ok, text}, the text being what the server says to it.
  async post(path, body) {
    try {
      const answer = await fetch(path, { method: "POST", body, cache: "no-store", headers: { "X-Halfturn-Key": this.key } });
      return { ok: answer.ok, text: (await answer.text()).trim() };
    } catch {
      return { ok: false, text: "the program can't be reached from here. Nothing is lost on this page; try again." };
    }
  }

  act(act, more) {
    if (this.socket.readyState !== WebSocket.OPEN) return false;
    this.socket.send(JSON.stringify({ key: this.key, act, ...more }));
    return true;
  }
}
