// The bench without the server: answers read from tables that the computer made (bench-tables.json),
// each with what reading between their numbers may miss. No formula of syrup stands here.

import { interpolate } from "./interpolate.js";

/**
 * @typedef {import("./interpolate.js").Table} Table
 * @typedef {{name: string, factor: number, offset: number}} Unit
 * @typedef {{system: string, finish_brix: number, water_boils_c: number, water_sure_k: number,
 *   units: Record<"temperature" | "volume" | "small" | "mass", Unit>}} Terms of the house
 * @typedef {{value: number, suffix: string, scale: string}} Number_ in SI
 * @typedef {{numbers: Map<string, Number_>, picks: Map<string, string[]>}} Typed
 * @typedef {{text: string, kind?: "warning" | "caution"} | {titles: string[], rows: string[][]}} Part
 * @typedef {{head: string, parts: Part[]}} Told
 */

/** What was typed cannot be answered here; its words say why. */
export class NotHere extends Error {}

const SEA_LEVEL_BOILS = "By the elevation of this house, for average weather.";

export class Bench {
  /** @type {Map<string, string>} What the tables read so far may miss, by quantity. */
  #missed = new Map();

  /**
   * @param {any} document the tables, as shipped
   * @param {Terms} terms
   * @param {Typed} typed
   */
  constructor(document, terms, typed) {
    this.kept = document;
    this.terms = terms;
    this.typed = typed;
  }

  /**
   * Answer a question.
   * @param {string} ask
   * @returns {Told}
   * @throws {NotHere}
   */
  answer(ask) {
    /** @type {Record<string, () => Told>} */
    const known = {
      check: () => this.#check(),
      boil: () => this.#boil(),
      adjust: () => this.#adjust(),
      blend: () => this.#blend(),
      ratio: () => this.#ratio(),
      pack: () => this.#pack(),
    };
    if (!known[ask]) throw new NotHere("This one needs the line to the computer.");
    const told = known[ask]();
    const most = [...this.#missed].map(([what, error]) => `${what} by ${error}`).join(", ");
    const text = `No line to the computer: read from its tables on this phone. They miss ${most} at most.`;
    return { head: told.head, parts: [...told.parts, { text }] };
  }

  /**
   * Read a table.
   * @param {string} name
   * @param {...number} at
   */
  #read(name, ...at) {
    const value = this.#maybe(name, ...at);
    if (value === null) throw new NotHere("That is outside of the tables on this phone. Look at the numbers, or ask again when there is a line.");
    return value;
  }

  /** @param {string} name @param {...number} at */
  #maybe(name, ...at) {
    /** @type {Table} */
    const table = this.kept.tables[name];
    const value = interpolate(table, at);
    if (value !== null) this.#missed.set(table.what, `${plain(table.greatest_error)} ${table.unit}`.trim());
    return value;
  }

  /** @param {string} name */
  #number(name) {
    return this.typed.numbers.get(name)?.value ?? null;
  }

  /** @param {string} name @param {string} label */
  #needed(name, label) {
    const value = this.#number(name);
    if (value === null) throw new NotHere(`${label}: is needed.`);
    return value;
  }

  #refuseUnread(/** @type {string[]} */ names) {
    if (names.some((name) => this.#number(name) !== null)) {
      throw new NotHere("Invert sugar, a weather report's pressure and another elevation need the line to the computer: leave them out.");
    }
  }

  /** Where water boils, how sure that is, and by what. */
  #water() {
    const tried = this.#number("water-boils");
    if (tried !== null) return { at_c: tried, by: "By your thermometer in boiling water." };
    const air = this.#number("barometer");
    if (air !== null) return { at_c: this.#read("water_boils", air), by: "By the barometer." };
    return { at_c: this.terms.water_boils_c, by: SEA_LEVEL_BOILS };
  }

  /** @returns {Told} */
  #check() {
    this.#refuseUnread(["invert"]);
    const found = [this.#byHydrometer(), this.#byRefractometer(), this.#byThermometer()].filter((each) => each !== null);
    if (!found.length) throw new NotHere("Nothing was measured: hydrometer with the temperature in its cup, refractometer or thermometer.");
    const surest = found.reduce((best, each) => (each.sure < best.sure ? each : best));
    const place = this.typed.picks.get("law")?.[0] ?? "";
    const [least, greatest, whose] = this.kept.limits[place] ?? [this.terms.finish_brix, null, "the finish of this house"];
    const verdict = this.kept.verdicts[this.#verdict(surest, least, greatest)];
    /** @type {Part[]} */
    const parts = [
      { text: `${one(least)}${greatest === null ? "" : ` to ${one(greatest)}`} Brix wanted (${whose}).` },
      { titles: ["By", "Brix", ""], rows: found.map((each) => [each.by, one(each.brix), `± ${one(each.sure)}`]) },
    ];
    const worst = Math.max(...found.map((each) => Math.abs(each.brix - surest.brix) - each.sure - surest.sure));
    if (worst > 0) parts.push({ text: "They don't agree: more than chance would have it. Measure again.", kind: "warning" });
    else if (found.length > 1) parts.push({ text: `They agree. Shown is the surest, the ${surest.by}.` });
    const cup = this.#number("temperature");
    const shows = cup === null ? null : this.#maybe(`shows_${this.#calibration()}`, least, cup);
    if (shows !== null) parts.push({ text: `At ${one(least)} Brix and that heat a hydrometer shows ${one(shows)}.` });
    const water = this.#water();
    const boils = this.#maybe("syrup_boils", water.at_c, least);
    if (boils !== null) parts.push({ text: `Syrup of ${one(least)} Brix boils at ${this.#degrees(boils)}. ${water.by}` });
    parts.push({ text: this.kept.cautions.boiling, kind: "caution" });
    return { head: `${verdict}: ${one(surest.brix)} Brix, give or take ${one(surest.sure)}`, parts };
  }

  /**
   * @param {{brix: number, sure: number}} found
   * @param {number} least
   * @param {number | null} greatest
   */
  #verdict(found, least, greatest) {
    const margin = (found.sure / 2) * this.kept.verdict_sds;
    if (found.brix <= least - margin) return "thin";
    if (greatest !== null && found.brix >= greatest + margin) return "heavy";
    const fits = found.brix >= least + margin && (greatest === null || found.brix <= greatest - margin);
    return fits ? "syrup" : "unsure";
  }

  #calibration() {
    return this.typed.picks.get("calibrated")?.[0] === "20 C" ? "20c" : "60f";
  }

  #byHydrometer() {
    const typed = this.typed.numbers.get("hydrometer");
    if (!typed) return null;
    const cup = this.#needed("temperature", "The temperature in its cup");
    const made = this.#calibration();
    const shown = typed.scale === "baume" ? this.#read(`baume_${made}`, typed.value) : typed.value;
    const name = `hydrometer_${made}`;
    return { by: "hydrometer", brix: this.#read(name, shown, cup), sure: this.#read(`${name}_sure`, shown, cup) };
  }

  #byRefractometer() {
    const shown = this.#number("refractometer");
    if (shown === null) return null;
    const prism = this.#number("prism") ?? 20; // one that corrects itself shows what 20 °C would
    return { by: "refractometer", brix: this.#read("refractometer", shown, prism), sure: this.#read("refractometer_sure", shown, prism) };
  }

  #byThermometer() {
    const pan = this.#number("thermometer");
    if (pan === null) return null;
    const water = this.#water();
    if (this.#number("water-boils") === null) {
      throw new NotHere("Without the line the thermometer is judged by the same thermometer in boiling water alone: say what it showed.");
    }
    const above = pan - water.at_c;
    return { by: "thermometer", brix: this.#read("thermometer", water.at_c, above), sure: this.#read("thermometer_sure", water.at_c, above) };
  }

  /** @returns {Told} */
  #boil() {
    this.#refuseUnread(["invert", "sea-level", "elevation"]);
    const water = this.#water();
    const asked = this.#number("brix");
    const strengths = asked === null ? [...new Set([66, 66.9, this.terms.finish_brix])].sort((a, b) => a - b) : [asked];
    const rows = strengths.map((brix) => {
      const boils = this.#read("syrup_boils", water.at_c, brix);
      return [`${one(brix)} Brix`, this.#degrees(boils), this.#difference(boils - water.at_c)];
    });
    /** @type {Part[]} */
    const parts = [{ titles: ["Syrup of", "Boils at", "Above water"], rows }, { text: water.by }];
    if (water.by === SEA_LEVEL_BOILS) {
      const sure = this.#difference(this.terms.water_sure_k);
      parts.push({ text: `Weather moves it: give or take ${sure}. Hold the thermometer in boiling water.`, kind: "warning" });
    }
    parts.push({ text: this.kept.cautions.boiling, kind: "caution" });
    return { head: `Water boils at ${this.#degrees(water.at_c)}`, parts };
  }

  /**
   * The mass of an amount: by weight as it is, by volume with its density.
   * @param {string} name
   * @param {string} label
   * @param {number} brix
   * @param {number} at_c
   */
  #mass(name, label, brix, at_c) {
    const amount = this.#needed(name, label);
    return this.typed.numbers.get(name)?.suffix === "kg" ? amount : amount * this.#read("density", brix, at_c);
  }

  /** @returns {Told} */
  #adjust() {
    const brix = this.#needed("brix", "Its strength");
    const target = this.#number("to") ?? this.terms.finish_brix;
    const mass = this.#mass("volume", "How much there is", brix, this.#number("temperature") ?? 20);
    const adds = this.#number("with");
    if (brix === target) return { head: `It is at ${one(target)} Brix already`, parts: [{ text: "Nothing to do." }] };
    const change = adds === null ? mass * this.#read("water_to_add", brix, target) : this.#added(mass, brix, target, adds);
    const isAdded = change > 0;
    const volume = Math.abs(change) / this.#read("density", isAdded ? (adds ?? 0) : 0, 20);
    const amount = `${this.#kg(Math.abs(change))} (${this.#volume(volume, "small")})`;
    const after = mass + change;
    /** @type {Part[]} */
    const parts = [];
    if (isAdded) parts.push({ text: `First ${this.#kg(0.75 * change)}; stir, measure again, then the rest.` });
    parts.push({ text: `Gives ${this.#volume(after / this.#read("density", target, 20))} at 20 °C (68 °F), ${this.#kg(after)}, of ${one(target)} Brix.` });
    parts.push({ text: isAdded ? this.kept.cautions.thinning : this.kept.cautions.boiling, kind: "caution" });
    const what = adds ? `${one(adds)} Brix` : "water";
    return { head: isAdded ? `Add ${amount} of ${what}` : `Boil off ${amount} of water`, parts };
  }

  /**
   * How much of another strength to add, by the share that the heavier has in such a blend.
   * @param {number} mass
   * @param {number} brix
   * @param {number} target
   * @param {number} adds
   */
  #added(mass, brix, target, adds) {
    const [heavy, light] = brix > adds ? [brix, adds] : [adds, brix];
    if (target <= light || target >= heavy) throw new NotHere("What you add and what there is lie on the same side of the strength you want.");
    const share = this.#read("heavy_share", heavy - target, target - light);
    const own = brix > adds ? share : 1 - share;
    return (mass * (1 - own)) / own;
  }

  /** @returns {Told} */
  #blend() {
    const drums = [1, 2, 3]
      .filter((each) => this.#number(`amount-${each}`) !== null || this.#number(`brix-${each}`) !== null)
      .map((each) => {
        const brix = this.#needed(`brix-${each}`, `Drum ${each}: strength`);
        return { number: each, brix, have: this.#mass(`amount-${each}`, `Drum ${each}: how much`, brix, 20), take: 0 };
      });
    if (!drums.length) throw new NotHere("Drum 1: its amount and its strength are needed.");
    const target = this.#number("to");
    if (target === null) drums.forEach((drum) => (drum.take = drum.have));
    else this.#shares(drums, target);
    let [mass, brix] = [0, 0];
    for (const drum of drums) {
      if (drum.take <= 0) continue;
      brix = this.#read("poured", mass / (mass + drum.take), brix, drum.brix);
      mass += drum.take;
    }
    const rows = drums.map((drum) => [
      String(drum.number), one(drum.brix), this.#volume(drum.take / this.#read("density", drum.brix, 20)), this.#kg(drum.take),
      drum.have - drum.take > 1e-6 ? this.#kg(drum.have - drum.take) : "-",
    ]);
    const parts = [{ titles: ["Drum", "Brix", "Take", "", "Left"], rows }, { text: "Stir well and measure: heavy syrup lies under light." }];
    return { head: `${this.#volume(mass / this.#read("density", brix, 20))} of ${one(brix)} Brix; ${this.#kg(mass)}`, parts };
  }

  /**
   * So much of each of two that neither is left over more than need be.
   * @param {{brix: number, have: number, take: number}[]} drums
   * @param {number} target
   */
  #shares(drums, target) {
    if (drums.length !== 2) throw new NotHere("Without the line a strength can be aimed at with two drums alone.");
    const [heavy, light] = drums[0].brix > drums[1].brix ? drums : [drums[1], drums[0]];
    if (target <= light.brix || target >= heavy.brix) throw new NotHere("The strength you want lies between those of the two drums, or cannot be had.");
    const share = this.#read("heavy_share", heavy.brix - target, target - light.brix);
    const most = Math.min(heavy.have / share, light.have / (1 - share));
    heavy.take = most * share;
    light.take = most * (1 - share);
  }

  /** @returns {Told} */
  #ratio() {
    const sap = this.#needed("sap", "How much sap");
    const brix = this.#needed("brix", "Its strength");
    const target = this.#number("to") ?? this.terms.finish_brix;
    const ratio = this.#read("sap_for_syrup", brix, target);
    const digits = ratio >= 10 ? 1 : 2;
    const head = `${this.#volume(sap)} of ${one(brix)} Brix hold ${this.#volume(sap / ratio)} of ${one(target)} Brix syrup`;
    return { head, parts: [{ text: `${ratio.toFixed(digits)} of sap for 1 of syrup.` }] };
  }

  /** @returns {Told} */
  #pack() {
    const hot = this.#needed("volume", "Hot batch");
    const brix = this.#number("brix") ?? this.terms.finish_brix;
    const at_c = this.#needed("temperature", "Packed at");
    const shrunk = this.#read("cold_volume", brix, at_c);
    const lost = this.#number("loss") ?? this.kept.loss_fraction;
    const picked = this.typed.picks.get("into") ?? [];
    const sizes = picked.length ? picked : this.kept.usual_sizes[this.terms.system];
    const room = (/** @type {string} */ name) => this.kept.sizes_m3[name];
    let left = hot * shrunk * (1 - lost);
    const rows = [...sizes].sort((a, b) => room(b) - room(a)).map((name) => {
      const count = Math.floor(left / room(name) + 1e-9);
      if (picked.length) left -= count * room(name);
      return [name, String(count), this.#kg(room(name) * this.#read("density", brix, 20)), this.#volume(room(name) / shrunk, "small")];
    });
    /** @type {Part[]} */
    const parts = [{ titles: [picked.length ? "Size" : "All in size", "How many", "Net weight", "Hot"], rows }];
    if (picked.length) parts.push({ text: `Left over: ${this.#volume(left, "small")}.` });
    parts.push({ text: "Fill by weight: a container that is full while hot looks short when cold." });
    if (at_c < this.kept.least_packing_c) parts.push({ text: this.kept.cautions.too_cool, kind: "caution" });
    parts.push({ text: this.kept.cautions.packing, kind: "caution" });
    return { head: `${this.#volume(hot)} hot of ${one(brix)} Brix are ${this.#volume(hot * shrunk)} at 20 °C (68 °F)`, parts };
  }

  /** @param {number} celsius */
  #degrees(celsius) {
    const { name, factor, offset } = this.terms.units.temperature;
    return `${one((celsius - offset) / factor)} ${name}`;
  }

  /** @param {number} kelvin */
  #difference(kelvin) {
    const { name, factor } = this.terms.units.temperature;
    return `${one(kelvin / factor)} ${name}`;
  }

  /** @param {number} kilograms */
  #kg(kilograms) {
    return three(kilograms, this.terms.units.mass);
  }

  /** @param {number} cubic @param {"volume" | "small"} [least] in smaller units where there is little */
  #volume(cubic, least = "volume") {
    const { volume, small } = this.terms.units;
    return three(cubic, least === "small" && cubic < 0.5 * volume.factor ? small : volume);
  }
}

/** @param {number} value */
function one(value) {
  return value.toFixed(1);
}

/** @param {number} value @param {Unit} unit */
function three(value, unit) {
  const shown = value / unit.factor;
  return `${shown.toFixed(shown >= 100 ? 0 : shown >= 10 ? 1 : 2)} ${unit.name}`;
}

/** An error without powers of ten: 1e-9 is what a computer's rounding makes. @param {number} value */
function plain(value) {
  return value < 1e-6 ? "nothing" : value.toFixed(Math.max(0, 1 - Math.floor(Math.log10(value))));
}
