// The view contract of core/weeptrace/screen/blocks.py, as types. Nothing here runs.

export type Shape = "done" | "now" | "to_do" | "waits" | "not_measured" | "not_done" | "stop" | null;

/** An event as a view gives it: what the shell completes and stores. */
export interface Seed {
  kind: string;
  field: string;
  typed: string;
  unit: string | null;
  supersedes?: string;
}

/** One instant: wall clock, ms since the page was loaded, and which load that was. */
export interface Moment {
  at: string;
  mono: number;
  boot: string;
}

/** An event as it is stored. */
export interface Logged extends Seed, Moment {
  id: string;
  device: string;
  seq: number;
  job: string;
}

export interface Pad {
  block: "pad";
  event: Seed;
  label: string;
  unit: string;
  units: string[];
  step: number;
  division: number | null;
  signed: boolean;
  last: { typed: string; value: number } | null;
  same_as_last: boolean;
  hints: string[];
}

export type Call = "home" | "export" | "print" | "save_record" | "calendar";

export type Do =
  | { event: Seed }
  | { photo: Seed }
  | { erase: string }
  | { read: Pad }
  | { pad: Pad }
  | { earlier: Pad }
  | { reason: Seed }
  | { look: string }
  | { call: Call };

export interface Action {
  label: string;
  sub: string | null;
  icon: string | null;
  do: Do;
}

export interface Plot {
  block: "plot";
  x: { low: number; high: number; labels: number[]; minor: number; unit: string };
  y: { low: number; high: number; labels: number[]; unit: string };
  points: { x: number; y: number; kind: "read" | "suspect" }[];
  fit: number[][];
  now: number;
  limit: { line: number[][]; words: string } | null;
  marks: { x: number; words: string }[];
  next: number | null;
  words: string;
  sentence: string;
}

export interface ScaleMark {
  at: number;
  words: string;
  filled: boolean;
  from?: number;
  to?: number;
}

export interface Scale {
  block: "scale";
  low: number;
  high: number;
  major: number;
  minor: number;
  unit: string;
  limit: { at: number; words: string } | null;
  marks: ScaleMark[];
  sentence: string;
}

export interface ClassRule {
  low: number;
  high: number;
  limits: number[];
  words: string[];
  tip: number | null;
  span: number[] | null;
  hides_below: number | null;
  owner: number | null;
  under: string;
}

export interface Verdict {
  block: "verdict";
  verdict: string;
  over: string;
  head: string[];
  figure: string | null;
  unit: string;
  lines: string[];
  rule: ClassRule | null;
}

export interface Title { block: "title"; text: string; count: string }
export interface Prompt { block: "prompt"; text: string }
export interface Heading { block: "heading"; text: string }
export interface State {
  block: "state";
  shape: Shape;
  word: string;
  lines: string[];
  figure: string;
  framed: boolean;
  do?: Do;
  /** The id of the entry whose refusal it tells. */
  refused?: string;
}
export interface Value {
  block: "value";
  label: string;
  value: string;
  unit: string;
  shape: Shape;
  word: string;
}
export interface Choice {
  block: "choice";
  rows: { label: string; sub: string; chosen: boolean; do: Do }[];
}
export interface TextField {
  block: "text";
  event: Seed;
  label: string;
  longest: number;
  store: string;
}
export interface Bars {
  block: "bars";
  rows: { label: string; sub: string; figure: string; share: number; solid: boolean; do: Do }[];
  sentence: string;
}
export interface Signature { block: "signature"; event: Seed; label: string; store: string }
export interface Checklist {
  block: "checklist";
  rows: { shape: Shape; label: string; figure: string; do: Do | null }[];
}
export interface Recorder {
  block: "recorder";
  last: { value: string; unit: string; label: string } | null;
  fall: { label: string; value: string; unit: string; interval: string } | null;
  start: Moment | null;
  due: number | null;
  interval: number;
  due_label: string;
  call: string;
  plot: Plot | null;
}
export interface Table { block: "table"; heads: string[]; rows: string[][] }
export interface TankPart {
  amount: number;
  pattern: "hatched" | "solid" | "dotted" | "open";
  value: string;
  word: string;
  sub: string;
}
export interface Picture {
  block: "picture";
  picture: "tank";
  high: number;
  major: number;
  unit: string;
  parts: TankPart[];
  sentence: string;
}
export interface LedgerRow {
  off: "off" | "to_do";
  on: "on" | "to_do" | "waits";
  now: boolean;
  word: string;
  lines: string[];
  do: Do | null;
  more: Action[];
}
export interface Ledger { block: "ledger"; rows: LedgerRow[] }
export interface Photos { block: "photo"; photos: { id: string; caption: string }[] }
export interface Caution { block: "caution"; level: "warning" | "caution"; text: string }

export type Block =
  | Title | Prompt | Heading | State | Value | Scale | Pad | Choice | TextField
  | Bars | Signature | Checklist | Recorder | Plot | Verdict | Table | Picture | Ledger | Photos | Caution;

export interface Edge { phases: string[]; now: number }

export interface View {
  job: string;
  practice: boolean;
  bar: { title: string; number: string };
  edge: Edge;
  step: string;
  state: { shape: Shape; word: string; figure: string };
  /** Which rules it runs on, where they are not this version's own; else "". */
  rules: string;
  blocks: Block[];
  foot: { caution: Caution | null; keys: Action[]; main: Action | null };
  /** What may be done at any time: the menu offers it. */
  more: Action[];
  awake: boolean;
  /** A system stands open or under pressure. */
  open: boolean;
}

/** What a hand is entering on a pad: nothing is stored until STORE. */
export interface Entry {
  how: "inline" | "pad" | "read" | "earlier";
  pad: Pad;
  typed: string;
  unit: string;
  /** The press of READ; null where the moment of STORE counts. */
  moment: Moment | null;
  /** Of `earlier`: null until asked. */
  minutes: string | null;
}

/** What stands in its place until the next act: a call, a refusal, a note. */
export interface Strip {
  kind: "call" | "refused" | "note";
  words: string;
}

/** What renderers may ask of the shell. */
export interface Hand {
  act(wanted: Do, moment: Moment, label: string): void;
  press(key: string): void;
  store(): void;
  say(seed: Seed, typed: string): void;
  /** Keep a drawing as a picture, then the event that names it. */
  sign(seed: Seed, drawing: Promise<Blob | null>, moment: Moment): void;
  back(): void;
  menu(): void;
  aloud(): void;
  /** Whether the view was judged in this run; false for one kept from the last. */
  fresh: boolean;
  /** Whether this tab acts on the job; false while another one does. */
  held: boolean;
  takeOver(): void;
  /** The keys that read the running recorders of other jobs. */
  others(): unknown;
  strip: Strip | null;
  /** The picture whose erase key was pressed once. */
  erasing: string | null;
  /** Words typed into the field of this name so far. */
  written: Map<string, string>;
  entry: Entry | null;
  decimal: "." | ",";
  voice: boolean;
  notice: boolean;
}

/** What a job's page needs of the app around it. */
export interface Around {
  draw(): void;
  /** Show the page at an address within the app. */
  go(hash: string): unknown;
  home(): void;
  menu(): void;
  sounds(): boolean;
  reader(): Reader;
  notice(): boolean;
  /** What a wide screen shows left of it. */
  beside(): unknown;
  /** How far the rules have started. */
  progress(): unknown;
  /** Keys of other jobs' running recorders. */
  others(): unknown;
  /** Words where one is next, when `from` is left. */
  tell(from: Hand, strip: Strip): void;
  /** The page on the screen. */
  shown(): Hand | null;
}

/** Compiled rules, as the core gives and takes them: the shell reads their hash alone. */
export interface Bundle { hash: string }
export interface UnitSet { id: string; label: string; units: Record<string, string> }
export interface About { bundle: string; version: string; unit_sets: UnitSet[] }
export interface Refused { code: string; message: string; path: string; accepted: string }
export interface Advanced { state: string; message: string }
export interface Engine {
  ask(name: string, payload: unknown, options?: { timeout?: number }): Promise<any>;
  restart(): unknown;
  state: string;
}

export interface Preferences {
  unit_set: string;
  units: Record<string, string>;
  language: string;
  sounds: boolean;
  theme: "day" | "sun" | "under-car";
}

/** What the core asks of a reader: its units and language. */
export type Reader = Pick<Preferences, "units" | "language">;

/** A job as the list shows it. */
export interface Kept { job: string; seen: string; view: View }

export interface PracticeCar {
  id: string;
  label: string;
  sub: string;
  events: { after: number; kind: string; field: string; typed: string; unit: string | null }[];
}
