// Made from schemas/worksheet.json by `cargo regenerate`.
// A value that you do not know means: do not release.

/** Everything written down for one recipient, one method and one or more donors. */
export interface Worksheet {
  /** The possible donors, 1 to 24. */
  readonly donors: ReadonlyArray<Donor>;
  /** Always `crossread.worksheet/1`. */
  readonly format: "crossread.worksheet/1";
  /** The worksheet's own id. */
  readonly id: string;
  /** Tube, slide or gel column. */
  readonly method:
    /** In a tube, after re-suspending the button. */
    | "tube"
    /** On a slide or tile. */
    | "slide"
    /** In a gel column, after centrifugation. */
    | "gel";
  /** The local rules by which it was run. */
  readonly protocol: {
    /** Its id, such as `dog-routine`. */
    readonly id: string;
    /** Its version, such as `1.0.0`. */
    readonly version: string;
  };
  /** Every look at every mixture, in any order. */
  readonly readings: ReadonlyArray<Reading>;
  /** The reagents' own controls. */
  readonly reagent_controls?: ReagentControls;
  /** The animal that needs blood. */
  readonly recipient: {
    /** The breed. */
    readonly breed?: string;
    /** What is known of its illness; shapes next steps, never a verdict. */
    readonly conditions?: ReadonlyArray<Condition>;
    /** Who decided to go on with it in spite of a refusal, and why. */
    readonly decision?: Decision;
    /** What happened to the animal before. */
    readonly history?: RecipientHistory;
    /** Unique among the animals of the worksheet. */
    readonly id: string;
    /** What the animal is called. */
    readonly name?: string;
    /** The species. */
    readonly species:
      /** Dog. */
      | "dog"
      /** Cat. */
      | "cat"
      /** Horse. */
      | "horse"
      /** Donkey. */
      | "donkey"
      /** Cattle. */
      | "cattle"
      /** Sheep. */
      | "sheep"
      /** Goat. */
      | "goat"
      /** Alpaca, llama or another camelid. */
      | "camelid"
      /** Pig. */
      | "pig"
      /** Ferret. */
      | "ferret"
      /** Rabbit. */
      | "rabbit"
      /** Bird. */
      | "bird";
    /** Blood typing results; several in one system are allowed. */
    readonly types?: ReadonlyArray<BloodType>;
    /** Body weight in kg, over 0, to 2000, at most two decimal places. */
    readonly weight_kg?: number;
  };
  /** Free text, never interpreted. */
  readonly remarks?: string;
  /** The blood samples that the mixtures were made from. */
  readonly samples?: ReadonlyArray<Sample>;
  /** How the mixtures were made. */
  readonly setup?: Setup;
}

/** The answer to a question about an animal's past. Left out means `unknown`. */
export type Answer =
  /** It never happened. */
  | "never"
  /** It happened. */
  | "yes"
  /** Nobody knows. */
  | "unknown";

/** The tube a sample was drawn into, by what keeps it from clotting. */
export type Anticoagulant =
  /** No anticoagulant: serum. */
  | "serum"
  /** EDTA. */
  | "edta"
  /** Citrate. */
  | "citrate"
  /** Heparin. */
  | "heparin"
  /** Citrate phosphate dextrose adenine, as in a unit's segment. */
  | "cpda";

/** Something seen in the tube, slide or column that spoils the reading. */
export type Artefact =
  /** An air bubble in the column, or between sample and gel. */
  | "bubble"
  /** A dried or cracked column. */
  | "dried_column"
  /** The spin was interrupted. */
  | "interrupted_spin"
  /** A line of cells down one side of the column. */
  | "streak"
  /** The sample is smeared along the column. */
  | "spread"
  /** Steps were done in the wrong order. */
  | "wrong_order"
  /** Strands of fibrin hold cells together. */
  | "fibrin"
  /** Too many cells in the column or tube. */
  | "overloaded"
  /** Spun too hard or too long. */
  | "hard_spin"
  /** Shaken too hard. */
  | "shaken_hard";

/** One blood typing result. */
export interface BloodType {
  /** The day of the typing. */
  readonly on?: string;
  /** The result: `A`, `B`, `AB` in the system `AB`, else `positive`, `weak`, `negative`. */
  readonly result:
    /** Type A. */
    | "A"
    /** Type B. */
    | "B"
    /** Type AB. */
    | "AB"
    /** The antigen is there. */
    | "positive"
    /** The antigen is there, weakly. */
    | "weak"
    /** The antigen is not there. */
    | "negative";
  /** The blood group system. */
  readonly system:
    /** The cat's AB system; results `A`, `B`, `AB`. */
    | "AB"
    /** Dog erythrocyte antigen 1. */
    | "DEA 1"
    /** Dog erythrocyte antigen 3. */
    | "DEA 3"
    /** Dog erythrocyte antigen 4. */
    | "DEA 4"
    /** Dog erythrocyte antigen 5. */
    | "DEA 5"
    /** Dog erythrocyte antigen 7. */
    | "DEA 7"
    /** The dog's Dal antigen. */
    | "Dal"
    /** The dog's Kai 1 antigen. */
    | "Kai 1"
    /** The dog's Kai 2 antigen. */
    | "Kai 2"
    /** The cat's Mik antigen. */
    | "Mik"
    /** Feline erythrocyte antigen 1. */
    | "FEA 1"
    /** The horse's Aa factor. */
    | "Aa"
    /** The horse's Ca factor. */
    | "Ca"
    /** The horse's Qa factor. */
    | "Qa"
    /** The horse's Ua factor. */
    | "Ua";
}

/** Whether complement could act in the mixtures, and from where. */
export type Complement =
  /** No complement: anticoagulated plasma, or serum that is not fresh. */
  | "none"
  /** The complement of the animals' own fresh serum. */
  | "fresh_serum"
  /** Complement was added. */
  | "added";

/** What is known of the recipient's illness. It shapes next steps, never a verdict. */
export type Condition =
  /** Immune-mediated hemolysis is known or suspected. */
  | "immune_hemolysis"
  /** High globulin or fibrinogen: rouleaux are likely. */
  | "high_globulin"
  /** A plasma expander was given lately: rouleaux are likely. */
  | "plasma_expander"
  /** A drug is suspected of making antibodies. */
  | "drug_suspected";

/** A person's decision to go on with an animal or a sample in spite of a refusal: one identifier
 * only, a label that nobody read, a sample that would be rejected. */
export interface Decision {
  /** Who decided. */
  readonly by: string;
  /** Why. */
  readonly reason: string;
}

/** One possible donor and the product of its blood. */
export interface Donor {
  /** The breed. */
  readonly breed?: string;
  /** Who decided to go on with it in spite of a refusal, and why. */
  readonly decision?: Decision;
  /** What happened to the animal before. */
  readonly history?: DonorHistory;
  /** Unique among the animals of the worksheet. */
  readonly id: string;
  /** What the animal is called. */
  readonly name?: string;
  /** What would be given. */
  readonly product:
    /** Packed red cells, with a little plasma left. */
    | "packed_cells"
    /** Washed red cells, with next to no plasma. */
    | "washed_cells"
    /** Whole blood. */
    | "whole_blood"
    /** Plasma without red cells. */
    | "plasma";
  /** The species. */
  readonly species:
    /** Dog. */
    | "dog"
    /** Cat. */
    | "cat"
    /** Horse. */
    | "horse"
    /** Donkey. */
    | "donkey"
    /** Cattle. */
    | "cattle"
    /** Sheep. */
    | "sheep"
    /** Goat. */
    | "goat"
    /** Alpaca, llama or another camelid. */
    | "camelid"
    /** Pig. */
    | "pig"
    /** Ferret. */
    | "ferret"
    /** Rabbit. */
    | "rabbit"
    /** Bird. */
    | "bird";
  /** Blood typing results; several in one system are allowed. */
  readonly types?: ReadonlyArray<BloodType>;
  /** The unit of blood, if there is one already. */
  readonly unit?: Unit;
}

/** What happened to a donor before. An answer left out is `unknown`, never `never`. */
export interface DonorHistory {
  /** The day of the last transfusion; only with `transfused` `yes`. */
  readonly last_transfused_on?: string;
  /** Ever pregnant. */
  readonly pregnant?: Answer;
  /** Ever a reaction to a transfusion. */
  readonly reaction?: Answer;
  /** Ever transfused. */
  readonly transfused?: Answer;
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

/** Minutes of incubation at each phase. */
export interface Incubation {
  /** Before antiglobulin, 0 to 1440 minutes; left out means that of `warm_37c`. */
  readonly antiglobulin?: number;
  /** At 4 °C, 0 to 1440 minutes. */
  readonly cold_4c?: number;
  /** At room temperature, 0 to 1440 minutes. */
  readonly room?: number;
  /** At 37 °C, 0 to 1440 minutes. */
  readonly warm_37c?: number;
}

/** What the unit looked like before use. */
export type Inspection =
  /** As it should. */
  | "normal"
  /** The fluid is red. */
  | "hemolyzed"
  /** The color is wrong. */
  | "discolored"
  /** There are clots. */
  | "clotted"
  /** Nobody looked. */
  | "not_inspected";

/** One lot of something used. */
export interface Lot {
  /** The last day on which it may be used. */
  readonly expires_on?: string;
  /** The lot's number. */
  readonly number?: string;
  /** What it is. */
  readonly what: string;
}

/** The control that must not react. */
export interface NegativeControl {
  /** What was seen. */
  readonly read:
    | Grade
    /** Seen, but no grade can be given. */
    | "unreadable";
}

/** The shape of what is clumped. */
export type Pattern =
  /** Three-dimensional clumps, like grapes. */
  | "clumps"
  /** Cells stacked on their flat faces, like coins: rouleaux. */
  | "stacks"
  /** Clumps and stacks together. */
  | "both"
  /** Not to be told. */
  | "unsure";

/** The control that must react. */
export interface PositiveControl {
  /** The grade it should have. */
  readonly expected:
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
  /** What was seen. */
  readonly read:
    | Grade
    /** Seen, but no grade can be given. */
    | "unreadable";
}

/** One look at one tube, slide or gel column. */
export interface Reading {
  /** What was done before this look; left out for a first look. */
  readonly after?: Recheck;
  /** How strongly the cells clump, or `unreadable`. */
  readonly agglutination:
    | Grade
    /** Seen, but no grade can be given. */
    | "unreadable";
  /** What spoils the reading. */
  readonly artefacts?: ReadonlyArray<Artefact>;
  /** When it was seen. */
  readonly at: string;
  /** Who saw it. */
  readonly by?: string;
  /** How strongly the check cells clumped; only at `antiglobulin`. */
  readonly check_cells?: Grade;
  /** The donor's id, for the tests that have one. */
  readonly donor?: string;
  /** Whether the edge had dried; only on slides. */
  readonly dried?: boolean;
  /** How red the fluid is, 0 to 4; left out if nobody looked. */
  readonly hemolysis?: number;
  /** Two populations of cells, one clumped and one free: a flag, never a grade. */
  readonly mixed_field?: boolean;
  /** The shape of what is clumped. */
  readonly pattern?: Pattern;
  /** At which step. */
  readonly phase:
    /** At room temperature. */
    | "room"
    /** After incubation at 37 °C. */
    | "warm_37c"
    /** After antiglobulin. */
    | "antiglobulin"
    /** At 4 °C. */
    | "cold_4c";
  /** Taken back, by whom and why; the reading stays on the record. */
  readonly retracted?: Retracted;
  /** Parts of saline to 1 part of the mixture; only, and always, with `saline_dilution`. */
  readonly saline_parts?: number;
  /** Seconds since mixing (slide) or since the spin (tube, gel), 0 to 86400. */
  readonly seconds?: number;
  /** Which mixture. */
  readonly test:
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
}

/** The reagents' own controls. */
export interface ReagentControls {
  /** The control that must not react. */
  readonly negative?: NegativeControl;
  /** The control that must react. */
  readonly positive?: PositiveControl;
}

/** What was done to a mixture before it was read again. */
export type Recheck =
  /** The plasma was taken off and replaced by the same volume of saline. */
  | "saline_replacement"
  /** Saline was added. */
  | "saline_dilution"
  /** The cells were washed. */
  | "wash";

/** What happened to the recipient before. An answer left out is `unknown`, never `never`. */
export interface RecipientHistory {
  /** Ids of donors that were incompatible before. */
  readonly incompatible_with?: ReadonlyArray<string>;
  /** The day of the last transfusion; only with `transfused` `yes`. */
  readonly last_transfused_on?: string;
  /** Ever pregnant. */
  readonly pregnant?: Answer;
  /** Ever a reaction to a transfusion. */
  readonly reaction?: Answer;
  /** Ever transfused. */
  readonly transfused?: Answer;
}

/** Why and by whom a reading was taken back. */
export interface Retracted {
  /** When. */
  readonly at: string;
  /** By whom. */
  readonly by: string;
  /** Why. */
  readonly reason: string;
}

/** One blood sample. */
export interface Sample {
  /** Whether the cells clump in the sample itself. */
  readonly agglutinated?: boolean;
  /** Whether there are clots. */
  readonly clots?: boolean;
  /** Who decided to go on with it in spite of a refusal, and why. */
  readonly decision?: Decision;
  /** When it was drawn. */
  readonly drawn_at?: string;
  /** How red the plasma is, 0 to 4. */
  readonly hemolysis?: number;
  /** How yellow the plasma is, 0 to 3. */
  readonly icterus?: number;
  /** Unique among the samples of the worksheet. */
  readonly id: string;
  /** The animal id that stands on the label. */
  readonly label_id?: string;
  /** How milky the plasma is, 0 to 3. */
  readonly lipemia?: number;
  /** The id of the animal that it was drawn from. */
  readonly of: string;
  /** What of it is used. */
  readonly role:
    /** Its plasma or serum. */
    | "plasma"
    /** Its cells. */
    | "cells"
    /** Its plasma and its cells. */
    | "both";
  /** Where it was kept. */
  readonly stored?: Storage;
  /** The tube it was drawn into. */
  readonly tube?: Anticoagulant;
}

/** How the mixtures were made. */
export interface Setup {
  /** Red cells in the suspension, percent by volume, over 0, to 100, at most two decimal places. */
  readonly cells_percent?: number;
  /** Cell suspension in one mixture, 1 to 10000 µL. */
  readonly cells_ul?: number;
  /** Whether complement could act; left out means `none`. */
  readonly complement?: Complement;
  /** Incubation at each phase, 0 to 1440 minutes. */
  readonly incubation_min?: Incubation;
  /** The lots of what was used. */
  readonly lots?: ReadonlyArray<Lot>;
  /** Plasma in one mixture, 1 to 10000 µL. */
  readonly plasma_ul?: number;
  /** How often the cells were washed, 0 to 20. */
  readonly washes?: number;
}

/** Where a sample was kept. */
export type Storage =
  /** At room temperature. */
  | "room"
  /** In the refrigerator. */
  | "fridge";

/** The unit of blood. */
export interface Unit {
  /** The last day on which it may be used. */
  readonly expires_on?: string;
  /** What it looked like. */
  readonly inspection?: Inspection;
  /** The unit's number. */
  readonly number: string;
}
