// Made from schemas/interpretation.json by `cargo regenerate`.
// A value that you do not know means: do not release.

/** What a crossmatch came to.
 *
 * **A value you do not know means: do not release.** A verdict, effect or field that is added
 * later is never one that frees a unit. */
export interface Interpretation {
  /** The version of the engine. */
  readonly engine: string;
  /** Always `crossread.interpretation/1`. */
  readonly format: "crossread.interpretation/1";
  /** Tube, slide or gel column. */
  readonly method: Method;
  /** The donors' ids for comparison, never called a ranking of risk: by verdict, then least
   * reactive first. None that must not be released stands above one that may. */
  readonly order: ReadonlyArray<string>;
  /** One answer a donor, in the order of the worksheet. */
  readonly pairs: ReadonlyArray<Answer>;
  /** What was noticed of all donors together. */
  readonly panel: ReadonlyArray<Finding>;
  /** The local rules. */
  readonly protocol: OfProtocol;
  /** The recipient's id. */
  readonly recipient: string;
  /** The worksheet. */
  readonly worksheet: OfWorksheet;
}

/** The answer for one donor. */
export interface Answer {
  /** The donor's id. */
  readonly donor: string;
  /** Donor plasma with donor cells. */
  readonly donor_auto: SummedTest;
  /** The simplest explanations of those patterns: of each alternative, the causes together. */
  readonly explanations: ReadonlyArray<ReadonlyArray<Cause>>;
  /** Everything that was noticed, the greatest effect first, then by slug. */
  readonly findings: ReadonlyArray<Finding>;
  /** The answer in a sentence or two. */
  readonly headline: string;
  /** Recipient plasma with donor cells. */
  readonly major: ConcludedTest;
  /** Donor plasma with recipient cells. */
  readonly minor: ConcludedTest;
  /** What to do, the most pressing first. */
  readonly next_steps: ReadonlyArray<string>;
  /** The tests and phases that were not read, and `hemolysis` if nobody looked for it. */
  readonly not_tested: ReadonlyArray<Untested>;
  /** What would be given. */
  readonly product: Product;
  /** What each mixture at each phase came to. */
  readonly readings_of_record: ReadonlyArray<OfRecord>;
  /** Recipient plasma with recipient cells. */
  readonly recipient_auto: SummedTest;
  /** Whether the verdict allows a release at all. Only `compatible` and
   * `compatible_with_caveats` do. */
  readonly releasable: boolean;
  /** The numbers of the patterns, 0 to 15, that agree with what is known. */
  readonly rows: ReadonlyArray<number>;
  /** Until when a release may rest on these samples, in UTC; null if the verdict allows none, or
   * nobody wrote when the samples were drawn. */
  readonly valid_until: string | null;
  /** The answer: the greatest effect among the findings. */
  readonly verdict: Verdict;
}

/** What can make a mixture react. */
export type Cause =
  /** An antibody of the recipient against the donor's cells. */
  | "recipient_antibody"
  /** An antibody of the donor against the recipient's cells. */
  | "donor_antibody"
  /** A reaction of the recipient's plasma with its own cells only. */
  | "recipient_own_only"
  /** A reaction of the donor's plasma with its own cells only. */
  | "donor_own_only"
  /** The labels were swapped. */
  | "labels_swapped"
  /** The recipient's plasma clumps any cells: rouleaux or an autoantibody. */
  | "recipient_plasma"
  /** The recipient's cells clump in any plasma. */
  | "recipient_cells"
  /** The donor's cells clump in any plasma. */
  | "donor_cells"
  /** The donor's plasma clumps any cells. */
  | "donor_plasma"
  /** Something that all mixtures share: saline, glass, temperature. */
  | "shared_reagent";

/** A major or minor, with its conclusion. */
export interface ConcludedTest {
  /** What it came to beside its controls. */
  readonly conclusion: Conclusion;
  /** The greatest hemolysis over the deciding phases, 0 to 4. */
  readonly hemolysis?: number;
  /** The first deciding phase that has this grade. */
  readonly phase?: Phase;
  /** The greatest grade of record. */
  readonly strongest?: Grade;
  /** What it came to over its deciding phases. */
  readonly summary: Summary;
}

/** What a major or minor came to, beside its controls. */
export type Conclusion =
  /** Not read. */
  | "not_read"
  /** Read and not usable. */
  | "void"
  /** No reaction, and the controls allow to say so. */
  | "nonreactive"
  /** A reaction that the controls do not let anybody read. */
  | "unresolved"
  /** A reaction that lies in the cells themselves. */
  | "reactive_cells"
  /** A reaction of this plasma with these cells. */
  | "reactive";

/** What a finding does to the verdict, from nothing to the most.
 *
 * The verdict of a pair is the greatest effect among its findings, so the order in which
 * rules run can never matter. */
export type Effect =
  /** Worth knowing; the verdict does not change. */
  | "note"
  /** The unit may be used if this is known. */
  | "caveat"
  /** Something needed was not read. */
  | "incomplete"
  /** The readings cannot be told apart. */
  | "indeterminate"
  /** The reading or the run cannot be used. */
  | "invalid"
  /** The unit must not be given. */
  | "incompatible";

/** One thing that was noticed, as it is told. */
export interface Finding {
  /** What it does to the verdict. */
  readonly effect: Effect;
  /** What to do, in the imperative. */
  readonly next_step: string;
  /** What of the worksheet shows it. */
  readonly rests_on: ReadonlyArray<string>;
  /** Its name, stable over versions. */
  readonly slug: string;
  /** Published sources, or "common practice". */
  readonly sources: ReadonlyArray<string>;
  /** What it means, in two or three sentences. */
  readonly text: string;
  /** What was noticed: a fragment without a full stop. */
  readonly title: string;
}

/** How strongly the cells of one mixture clump, in 13 ordered levels.
 *
 * `3+w` is written `2+s`, and `4+w` is written `3+s`.
 *
 * # Source
 * The 13 levels and their scores 0 to 12 follow the strong-and-weak table of AABB type, as
 * restated in "Antibody titration with score" (medicalalgorithms.com, opening of the page
 * read); the pictures of each level are those of tube serology courses. */
export type Grade =
  /** Even suspension, no aggregates. */
  | "0"
  /** No clump by eye; rare agglutinates under the microscope. */
  | "rough"
  /** No clump by eye; few agglutinates under the microscope. */
  | "micro"
  /** Weak: tiny aggregates just visible, turbid background. */
  | "w"
  /** Very small clumps, turbid background. */
  | "1+w"
  /** Small clumps, free cells, turbid background. */
  | "1+"
  /** Medium and small clumps, free cells. */
  | "1+s"
  /** Medium and small clumps. */
  | "2+w"
  /** Medium and some large clumps. */
  | "2+"
  /** Medium clumps, hardly any free cell. */
  | "2+s"
  /** Several large clumps, clear background. */
  | "3+"
  /** Few very large clumps. */
  | "3+s"
  /** One solid clump, no free cell. */
  | "4+";

/** Where the mixture is read. */
export type Method =
  /** In a tube, after re-suspending the button. */
  | "tube"
  /** On a slide or tile. */
  | "slide"
  /** In a gel column, after centrifugation. */
  | "gel";

/** The protocol by which a worksheet was interpreted. */
export interface OfProtocol {
  /** Its id. */
  readonly id: string;
  /** The hash of its document. */
  readonly sha256: string;
  /** Its version. */
  readonly version: string;
}

/** What one mixture at one phase came to. */
export interface OfRecord {
  /** The readings that it comes from. */
  readonly from: ReadonlyArray<string>;
  /** The grade of record; left out if no look gave one. */
  readonly grade?: Grade;
  /** The greatest hemolysis that was written, 0 to 4; left out if nobody looked. */
  readonly hemolysis?: number;
  /** At which step. */
  readonly phase: Phase;
  /** What it came to. */
  readonly state: State;
  /** Which mixture. */
  readonly test: Test;
}

/** The worksheet that was interpreted. */
export interface OfWorksheet {
  /** Its id. */
  readonly id: string;
  /** The hash of its document. */
  readonly sha256: string;
}

/** At which step a mixture is read. */
export type Phase =
  /** At room temperature. */
  | "room"
  /** After incubation at 37 °C. */
  | "warm_37c"
  /** After antiglobulin. */
  | "antiglobulin"
  /** At 4 °C. */
  | "cold_4c";

/** What would be given. */
export type Product =
  /** Packed red cells, with a little plasma left. */
  | "packed_cells"
  /** Washed red cells, with next to no plasma. */
  | "washed_cells"
  /** Whole blood. */
  | "whole_blood"
  /** Plasma without red cells. */
  | "plasma";

/** What one mixture at one phase came to. */
export type State =
  /** Nobody looked. */
  | "absent"
  /** Looked at, but the hemolysis that the method asks for was not. */
  | "unread"
  /** Looked at, but the result cannot be used. */
  | "void"
  /** No reaction. */
  | "negative"
  /** A reaction too weak or too doubtful to call. */
  | "doubtful"
  /** A reaction. */
  | "reactive";

/** What one test came to over its deciding phases. */
export type Summary =
  /** A required phase was not read. */
  | "not_read"
  /** A phase was read and cannot be used, and nothing else was seen. */
  | "void"
  /** No reaction. */
  | "negative"
  /** A doubtful reaction. */
  | "doubtful"
  /** A reaction. */
  | "reactive";

/** An autocontrol. */
export interface SummedTest {
  /** The greatest hemolysis over the deciding phases, 0 to 4. */
  readonly hemolysis?: number;
  /** The first deciding phase that has this grade. */
  readonly phase?: Phase;
  /** The greatest grade of record. */
  readonly strongest?: Grade;
  /** What it came to over its deciding phases. */
  readonly summary: Summary;
}

/** One kind of mixture of plasma (or saline) and washed red cells. */
export type Test =
  /** Recipient plasma with donor cells. */
  | "major"
  /** Donor plasma with recipient cells. */
  | "minor"
  /** Recipient plasma with recipient cells. */
  | "recipient_auto"
  /** Donor plasma with donor cells. */
  | "donor_auto"
  /** Saline with recipient cells. */
  | "recipient_saline"
  /** Saline with donor cells. */
  | "donor_saline";

/** Something that was not tested. */
export type Untested =
  /** Recipient plasma with donor cells. */
  | "major"
  /** Donor plasma with recipient cells. */
  | "minor"
  /** Recipient plasma with recipient cells. */
  | "recipient_auto"
  /** Donor plasma with donor cells. */
  | "donor_auto"
  /** The phase at room temperature. */
  | "room"
  /** The phase at 37 °C. */
  | "warm_37c"
  /** The antiglobulin phase. */
  | "antiglobulin"
  /** The phase at 4 °C. */
  | "cold_4c"
  /** Hemolysis. */
  | "hemolysis";

/** The answer for one donor, from free to use to not. */
export type Verdict =
  /** No reaction was found and nothing stands against it. */
  | "compatible"
  /** No reaction was found, and something must be known before use. */
  | "compatible_with_caveats"
  /** Finish reading. */
  | "incomplete"
  /** The readings are good but cannot be told apart: work it up. */
  | "indeterminate"
  /** The reading or the run cannot be used: repeat. */
  | "invalid"
  /** Do not give this unit. */
  | "incompatible";
