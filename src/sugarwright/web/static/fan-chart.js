// <fan-chart data-of="ID">: a band with its middle line, from the JSON in the element of that id.
// Values, units and times of the axis come ready from the server; this only draws.

/* global uPlot */

const HEIGHT = 176;

/**
 * @typedef {object} Chart
 * @property {number[]} time_s
 * @property {number[]} low
 * @property {number[]} middle
 * @property {number[]} high
 * @property {number | null} full
 * @property {{time_s: number, label: string}[]} ticks
 * @property {string} unit
 */

class FanChart extends HTMLElement {
  /** @type {any} */
  #plot;
  #seen = "";
  #again = () => this.#draw(true);
  #news = () => this.#draw(false);
  #sizes = new ResizeObserver(() => this.#fit());

  connectedCallback() {
    this.#draw(true);
    this.#sizes.observe(this);
    document.addEventListener("scheme", this.#again);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", this.#again);
    document.addEventListener("htmx:after:swap", this.#news);
  }

  disconnectedCallback() {
    this.#sizes.disconnect();
    document.removeEventListener("scheme", this.#again);
    matchMedia("(prefers-color-scheme: dark)").removeEventListener("change", this.#again);
    document.removeEventListener("htmx:after:swap", this.#news);
    this.#plot?.destroy();
    this.#plot = undefined;
  }

  #fit() {
    if (this.#plot && this.clientWidth) this.#plot.setSize({ width: this.clientWidth, height: HEIGHT });
  }

  /** @param {boolean} anew */
  #draw(anew) {
    const text = document.getElementById(this.dataset.of ?? "")?.textContent ?? "";
    if (!text || (!anew && text === this.#seen)) return;
    this.#seen = text;
    this.#plot?.destroy();
    this.replaceChildren();
    /** @type {Chart} */
    const chart = JSON.parse(text);
    // @ts-ignore: a script of its own, loaded before this one
    this.#plot = new uPlot(this.#options(chart), [chart.time_s, chart.high, chart.low, chart.middle], this);
    this.toggleAttribute("data-drawn", true);
  }

  /** @param {Chart} chart */
  #options(chart) {
    const style = getComputedStyle(this);
    const ink = style.getPropertyValue("--ink-soft").trim();
    const edge = style.getPropertyValue("--edge").trim();
    const line = style.getPropertyValue("--line").trim();
    const axis = { stroke: ink, grid: { stroke: edge, width: 1 }, ticks: { show: false }, font: "15px system-ui, sans-serif" };
    const labels = new Map(chart.ticks.map((tick) => [tick.time_s, tick.label]));
    const none = { stroke: "transparent", points: { show: false } };
    return {
      width: this.clientWidth || 320,
      height: HEIGHT,
      legend: { show: false },
      cursor: { show: false },
      select: { show: false },
      scales: { x: { time: false }, y: { range: rangeOf(chart) } },
      axes: [
        {
          ...axis,
          size: 28,
          splits: () => chart.ticks.map((tick) => tick.time_s),
          values: (/** @type {unknown} */ _, /** @type {number[]} */ at) => at.map((each) => labels.get(each) ?? ""),
        },
        { ...axis, size: 46, space: 40 },
      ],
      series: [{}, none, none, { stroke: line, width: 2.5, points: { show: false } }],
      bands: [{ series: [1, 2], fill: `color-mix(in srgb, ${line} 28%, transparent)` }],
      hooks: { draw: [(/** @type {any} */ plot) => rim(plot, chart, ink)] },
    };
  }
}

/** @param {Chart} chart @returns {[number, number]} */
function rangeOf(chart) {
  if (chart.full !== null) return [0, chart.full * 1.04];
  const low = Math.min(...chart.low);
  const high = Math.max(...chart.high);
  return [Math.floor(low / 5) * 5, Math.ceil(high / 5) * 5];
}

/**
 * Draw the rim of the tank; freezing, for air.
 * @param {any} plot
 * @param {Chart} chart
 * @param {string} ink
 */
function rim(plot, chart, ink) {
  const at = chart.full ?? (chart.unit.includes("F") ? 32 : 0);
  const y = plot.valToPos(at, "y", true);
  const { left, width, top, height } = plot.bbox;
  if (y < top || y > top + height) return;
  const pen = plot.ctx;
  pen.save();
  pen.strokeStyle = ink;
  pen.lineWidth = 2;
  pen.setLineDash([8, 6]);
  pen.beginPath();
  pen.moveTo(left, y);
  pen.lineTo(left + width, y);
  pen.stroke();
  pen.restore();
}

customElements.define("fan-chart", FanChart);
