// Every number is in an SI unit or in dB, unrounded; every ± is a 95 % figure. Texts are English; their spaces between
// number and unit are narrow no-break spaces (U+202F).

/**
 * Loads the program; wait for it before anything else. Loading twice does nothing.
 *
 * @param source where `lessdin_core_bg.wasm` is (in Node, `file:` too) or its bytes; without it, it is looked for beside this file
 * @throws {TypeError} `source` is something else
 * @throws {Error} it cannot be fetched, or is not the program
 */
export default function init(source?: string | URL | ArrayBuffer | ArrayBufferView<ArrayBuffer>): Promise<void>;

/** Every sheet and what it asks for. */
export function sheets(): Sheet[];

/**
 * Opens a link and works it out: a whole address, or from `#` on. Whatever the text, the result is an object; what is wrong
 * with a link is said in its notes and errors. What the page refines afterwards in the background is not in it.
 *
 * @throws {TypeError} `link` is not text
 */
export function solve(link: string): Solved;

/** A calculation. */
export interface Sheet {
  /** Permanent, as in links: `#/alone`. */
  id: string;
  /** The question it answers. */
  title: string;
  /** Raised when the same inputs get another answer. */
  version: number;
  /** A link with made-up numbers. */
  example: string;
  /** How far its answers go. */
  limits: string[];
  /** Cautions that always stand with its answers. */
  cautions: string[];
  /** Its own fields, as `/key=value` in links. */
  fields: Field[];
  /** The fields every sheet has: where and how it was measured. */
  conditions: Field[];
  /** Its tables; each row is a part of its own in links: `/table=first~key=value`. */
  tables: Rows[];
}

/** A field, or a column of a table. */
export interface Field {
  /** Its name in links. */
  key: string;
  label: string;
  help: string;
  /** `levels` takes one level or several eye readings, as in `41,42,41.5`; `switch` takes `1` or `0`; `row` the number of a row. */
  kind: 'number' | 'levels' | 'count' | 'choice' | 'switch' | 'text' | 'row';
  quantity: Quantity | null;
  /** Of `min`, `max` and `default`. */
  unit: Unit | null;
  min: number | null;
  max: number | null;
  /** What holds while nothing is written. */
  default: number | string | boolean | null;
  /** The units a number may be written in, as in `/at=3ft`. Without one it is in the first. */
  written: WrittenUnit[];
  choices: { key: string; label: string }[] | null;
  /** The table a `row` points into. */
  rowOf: string | null;
  /** The most characters of a `text`. */
  maxLength: number | null;
  /** Whether the page folds it away at first. */
  more: boolean;
  /** Only read while this choice, in the same row or among the fields, has one of these values. */
  when: { key: string; values: string[] } | null;
}

/** A unit of links: the value in `unit` of the field is number · `factor` + `offset`. */
export interface WrittenUnit {
  id: string;
  symbol: string;
  factor: number;
  offset: number;
}

/** A table to fill in. */
export interface Rows {
  /** Its name in links. */
  key: string;
  label: string;
  /** What one row is called. */
  row: string;
  help: string;
  maxRows: number;
  /** The columns; in links the first is written without its key. */
  fields: Field[];
  /** One more column for each row of another table: its key and the number of that row, as in `p1`. */
  per: { table: string; field: Field } | null;
}

/** What came of a link. */
export interface Solved {
  /** The id of the sheet; null when the link names none that is known. */
  sheet: string | null;
  /** `waiting`: something needed is missing or wrong. `impossible`: the fields are fine, but have no answer together. */
  outcome: 'answer' | 'waiting' | 'impossible';
  /** One plain sentence. */
  headline: string;
  /** A line or two more. */
  support: string[];
  values: Value[];
  tables: Table[];
  notes: Note[];
  /** What is wrong with single fields. */
  errors: Remark[];
  /** How unclear text was read. */
  remarks: Remark[];
  /** What is empty and needed. */
  missing: Address[];
  impossible: { text: string; fields: Address[] } | null;
  /** The same inputs as the page writes them, from `#` on. */
  link: string | null;
}

/** How much, and how sure. */
export interface Amount {
  /** What `value` is: the value itself, a limit, or null because there are two limits (`low`, `high`) or nothing is known. */
  bound: 'exact' | 'atMost' | 'atLeast' | 'between' | 'unknown';
  value: number | null;
  low: number | null;
  high: number | null;
  /** Half the width of the 95 % interval; null when none is stated. */
  plusMinus95: number | null;
  quantity: Quantity;
  unit: Unit;
  /** The weighting of a sound pressure level. */
  weighting: 'A' | 'C' | 'Z' | null;
}

/** A number of the answer. */
export interface Value extends Amount {
  /** Permanent. */
  id: string;
  label: string;
  /** As the page shows it. */
  text: string;
  grade: 'solid' | 'rough' | 'bound' | 'cannotTell' | null;
  note: string | null;
}

/** A table of results. */
export interface Table {
  /** Permanent. */
  id: string;
  title: string;
  columns: { label: string; quantity: Quantity | null; unit: Unit | null }[];
  /** `lead` marks the row the answer is about. */
  rows: { lead: boolean; cells: { text: string; amount: Amount | null }[] }[];
}

/** Something to know: about the link, an explanation, a reason to doubt, a safety caution. */
export interface Note {
  kind: 'link' | 'plain' | 'doubt' | 'care';
  text: string;
}

/** Something said about a field. */
export interface Remark {
  at: Address;
  text: string;
}

/** Where a field is. Rows are counted from 1, as they stand in the link. */
export interface Address {
  table: string | null;
  row: number | null;
  key: string;
}

/** What a number measures. */
export type Quantity =
  | 'level' | 'gain' | 'soundPower' | 'loudness' | 'loudnessLevel'
  | 'share' | 'ratio' | 'count' | 'number' | 'money' | 'moneyPerDecibel'
  | 'length' | 'duration' | 'speed' | 'angle' | 'rotation' | 'frequency' | 'stepsPerLength' | 'stepsPerAngle'
  | 'flow' | 'pressure' | 'torque' | 'inertia' | 'power'
  | 'current' | 'voltage' | 'resistance' | 'inductance';

/** SI units, dB, and where SI has none: phon, sone, money in anyone's currency. `1` stands for a bare number. */
export type Unit =
  | 'dB' | 'phon' | 'sone' | '1' | 'money' | 'money/dB'
  | 'm' | 's' | 'm/s' | 'rad' | '1/s' | 'Hz' | '1/m' | '1/rad' | 'm³/s' | 'Pa' | 'N·m' | 'kg·m²' | 'W' | 'A' | 'V' | 'Ω' | 'H';
