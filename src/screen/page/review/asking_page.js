// A review page that asks the server and draws parts of its own. An answer that comes after the page was left, or after a
// newer question, is dropped: `const mine = ++this.asked; const answer = await ask(…); if (mine !== this.asked) return;`
export class AskingPage {
  constructor(box) {
    this.box = box;
    this.parts = [];
    this.asked = 0;
  }

  leave() {
    ++this.asked;
    for (const part of this.parts) part.leave();
    this.parts = [];
  }
}
