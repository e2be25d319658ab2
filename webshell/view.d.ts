// Written by tools/contract.py from core/weeptrace/door/blocks.py, which explains
// each of them. Nothing here runs.

export interface Seed {
  kind: string;
  field: string;
  typed: string;
  unit: string | null;
  supersedes?: string;
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
  last: { typed: string; value: number; } | null;
  same_as_last: boolean;
  hints: string[];
}

export type Do = { event: Seed; } | { read: Pad; } | { pad: Pad; } | { earlier: Pad; } | { reason: Seed; } | { photo: Seed; } | { erase: string; } | { look: string; } | { call: "home" | "export" | "print" | "save_record" | "calendar"; };

export interface Action {
  label: string;
  sub: string | null;
  icon: string | null;
  do: Do;
}

export interface Plot {
  block: "plot";
  x: { low: number; high: number; labels: number[]; minor: number; unit: string; };
  y: { low: number; high: number; labels: number[]; unit: string; };
  points: ({ x: number; y: number; kind: "read" | "suspect"; })[];
  fit: number[][];
  now: number;
  limit: { line: number[][]; words: string; } | null;
  marks: { x: number; words: string; }[];
  next: number | null;
  words: string;
  sentence: string;
}

export interface Scale {
  block: "scale";
  low: number;
  high: number;
  major: number;
  minor: number;
  unit: string;
  limit: { at: number; words: string; } | null;
  marks: { at: number; words: string; filled: boolean; from?: number; to?: number; }[];
  sentence: string;
}

export interface Verdict {
  block: "verdict";
  verdict: "no_leak_found" | "tight" | "seeping" | "seeping_or_leaking" | "leaking" | "leaking_or_gross" | "gross" | "leak_size_unknown" | "too_weak" | "not_judged";
  over: string;
  head: string[];
  figure: string | null;
  unit: string;
  lines: string[];
  rule: { low: number; high: number; limits: number[]; words: string[]; tip: number | null; span: number[] | null; hides_below: number | null; owner: number | null; under: string; } | null;
}

export interface Title {
  block: "title";
  text: string;
  count: string;
}

export interface Prompt {
  block: "prompt";
  text: string;
}

export interface Heading {
  block: "heading";
  text: string;
}

export interface State {
  block: "state";
  shape: "done" | "now" | "to_do" | "waits" | "not_measured" | "not_done" | "stop" | null;
  word: string;
  lines: string[];
  figure: string;
  framed: boolean;
  do?: Do;
  refused?: string;
}

export interface Value {
  block: "value";
  label: string;
  value: string;
  unit: string;
  shape: "done" | "now" | "to_do" | "waits" | "not_measured" | "not_done" | "stop" | null;
  word: string;
}

export interface Choice {
  block: "choice";
  rows: { label: string; sub: string; chosen: boolean; do: Do; }[];
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
  rows: { label: string; sub: string; figure: string; share: number; solid: boolean; do: Do; }[];
  sentence: string;
}

export interface Signature {
  block: "signature";
  event: Seed;
  label: string;
  store: string;
}

export interface Checklist {
  block: "checklist";
  rows: ({ shape: "done" | "now" | "to_do" | "waits" | "not_measured" | "not_done" | "stop" | null; label: string; figure: string; do: Do | null; })[];
}

export interface Recorder {
  block: "recorder";
  last: { value: string; unit: string; label: string; } | null;
  fall: { label: string; value: string; unit: string; interval: string; } | null;
  start: { at: string; mono: number; boot: string; } | null;
  due: number | null;
  interval: number;
  due_label: string;
  call: string;
  plot: Plot | null;
}

export interface Table {
  block: "table";
  heads: string[];
  rows: string[][];
  figures: number[];
}

export interface Picture {
  block: "picture";
  picture: "tank";
  high: number;
  major: number;
  unit: string;
  parts: ({ amount: number; pattern: "hatched" | "solid" | "dotted" | "open"; value: string; word: string; sub: string; })[];
  sentence: string;
}

export interface Ledger {
  block: "ledger";
  rows: ({ off: "off" | "to_do"; on: "on" | "to_do" | "waits"; now: boolean; word: string; lines: string[]; do: Do | null; more: Action[]; })[];
}

export interface Photos {
  block: "photo";
  photos: { id: string; caption: string; }[];
}

export interface Caution {
  block: "caution";
  level: "warning" | "caution";
  text: string;
}

export type Block =
  | Title
  | Prompt
  | Heading
  | State
  | Value
  | Scale
  | Pad
  | Choice
  | TextField
  | Bars
  | Signature
  | Checklist
  | Recorder
  | Plot
  | Verdict
  | Table
  | Picture
  | Ledger
  | Photos
  | Caution;

export interface View {
  job: string;
  practice: boolean;
  bar: { title: string; number: string; };
  edge: { phases: string[]; now: number; };
  step: string;
  state: { shape: "done" | "now" | "to_do" | "waits" | "not_measured" | "not_done" | "stop" | null; word: string; figure: string; };
  rules: string;
  blocks: Block[];
  foot: { caution: Caution | null; keys: Action[]; main: Action | null; };
  more: Action[];
  awake: boolean;
  open: boolean;
}
