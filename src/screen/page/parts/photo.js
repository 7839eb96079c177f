// A photo from the device's camera or its pictures, made small enough to send before it leaves the device.
//   const photo = new Photo();  box.append(photo.box);  photo.blob   // null: none
import { el, button, put } from "../dom.js";

const longest_side_px = 1600, quality = 0.85;

export class Photo {
  constructor() {
    this.blob = null;
    this.input = el("input", { type: "file", id: "photo", class: "file", accept: "image/*", capture: "environment", onchange: () => this.take(this.input.files[0]) });
    this.words = el("span", null, "Take a photo");
    this.said = el("p", { class: "quiet", "aria-live": "polite" });
    this.canvas = el("canvas", { class: "photo", role: "img", "aria-label": "The photo that will be kept", hidden: true });
    this.away = button("Leave the photo out", () => this.clear(), { hidden: true });
    this.box = el("div", { class: "rows" }, el("div", { class: "actions" }, el("span", { class: "card" }, this.input, el("label", { for: "photo" }, this.words)), this.away), this.canvas, this.said);
  }

  clear() {
    this.blob = null;
    this.input.value = "";
    this.canvas.hidden = this.away.hidden = true;
    put(this.words, "Take a photo");
    put(this.said, "");
  }

  async take(file) {
    if (!file) return;
    try {
      // As it was held, not as the camera was built in.
      const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
      const scale = Math.min(1, longest_side_px / Math.max(picture.width, picture.height));
      this.canvas.width = Math.max(1, Math.round(picture.width * scale));
      this.canvas.height = Math.max(1, Math.round(picture.height * scale));
      this.canvas.getContext("2d").drawImage(picture, 0, 0, this.canvas.width, this.canvas.height);
      picture.close();
      this.blob = await new Promise((done) => this.canvas.toBlob(done, "image/jpeg", quality));
    } catch {
      this.clear();
      return put(this.said, "This file is no picture that the browser can read. Take another.");
    }
    this.canvas.hidden = this.away.hidden = false;
    put(this.words, "Take another photo");
    put(this.said, `${this.canvas.width} × ${this.canvas.height} pixels, ${Math.ceil(this.blob.size / 1024)} kB.`);
  }
}
