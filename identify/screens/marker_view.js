// How the film lies in its box: zoom (screen px per film px) and shift (screen px).

const clamp = (value, low, high) => Math.min(high, Math.max(low, value));

class View {
  zoom = 1;
  shiftX = 0;
  shiftY = 0;
  fitted = true;

  fit() {
    const { naturalWidth: width, naturalHeight: height } = this.image;
    if (!width) return;
    this.zoom = Math.min(this.box.clientWidth / width, this.box.clientHeight / height) || 1;
    this.shiftX = (this.box.clientWidth - width * this.zoom) / 2;
    this.shiftY = (this.box.clientHeight - height * this.zoom) / 2;
    this.fitted = true;
    this.draw();
  }

  zoomBy(factor, x = this.box.clientWidth / 2, y = this.box.clientHeight / 2) {
    const zoom = clamp(this.zoom * factor, 0.05, 24);
    const ratio = zoom / this.zoom;
    this.shiftX = x - (x - this.shiftX) * ratio;
    this.shiftY = y - (y - this.shiftY) * ratio;
    this.zoom = zoom;
    this.fitted = false;
    this.draw();
  }

  pan(dx, dy) {
    this.shiftX += dx;
    this.shiftY += dy;
    this.fitted = false;
    this.draw();
  }

  onScreen({ x, y }) {
    return [x * this.zoom + this.shiftX, y * this.zoom + this.shiftY];
  }

  onFilm(x, y) {
    return { x: (x - this.shiftX) / this.zoom, y: (y - this.shiftY) / this.zoom };
  }
}
