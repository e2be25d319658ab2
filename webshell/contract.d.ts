// What the shell's parts know of each other; the view itself is view.d.ts. Nothing here runs.

import type { Do, Ledger, Pad, Picture, Scale, Seed, Verdict, View } from "./view.d.ts";

export type * from "./view.d.ts";

/** The parts of a view that have no name of their own there. */
export type Shape = View["state"]["shape"];
export type Call = Extract<Do, { call: unknown }>["call"];
export type ScaleMark = Scale["marks"][number];
export type ClassRule = NonNullable<Verdict["rule"]>;
export type TankPart = Picture["parts"][number];
export type LedgerRow = Ledger["rows"][number];
export type Edge = View["edge"];

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
/** A figure of a refusal, in SI; `told_in` is the unit that it was typed in. */
export interface RefusedQuantity { value: number; unit: string; dimension: string; told_in?: string }
/** A sentence that another names. */
export interface RefusedSentence { text: string; figures: RefusedFigures; message: string }
export type RefusedFigures = Record<string, string | number | RefusedQuantity | RefusedSentence | RefusedSentence[]>;
export interface Refused {
  code: string; message: string; path: string; accepted: string; text: string; figures: RefusedFigures;
}
export interface Advanced { state: string; message: string; view?: View }
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
