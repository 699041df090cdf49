// Made from schemas/protocol.json by `cargo regenerate`.
// A value that you do not know means: do not release.

/** The local rules of a crossmatch: thresholds and requirements, each with its source. */
export interface Protocol {
  /** What anticoagulated plasma does to a verdict, as it cannot show lysis. */
  readonly anticoagulant_lysis: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
      /** Worth knowing. */
      | "note"
      /** To be known before use. */
      | "caveat";
  };
  /** By so many half grades must a test exceed a reactive autocontrol to count as a reaction of its own. */
  readonly auto_margin_half_steps: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** How a transfusion is planned and watched; never asked by a verdict. */
  readonly care?: CareRules;
  /** The weakest grade that check cells may have. */
  readonly check_cells_min: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
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
  };
  /** What a negative antiglobulin reading without check cells is worth. */
  readonly check_cells_missing: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
      /** It stands, with a caveat. */
      | "caveat"
      /** It is void. */
      | "void";
  };
  /** By so many half grades may a control miss its expected grade. */
  readonly control_tolerance_half_steps: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** The strongest grade that rouleaux may reach; stronger dispersal is implausible. */
  readonly dispersal_up_to: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
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
  };
  /** A grade from here on, below `reactive_from`, is doubtful. */
  readonly doubtful_from: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
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
  };
  /** Always `crossread.protocol/1`. */
  readonly format: "crossread.protocol/1";
  /** Hemolysis from here on is a reaction, unless it was there before. */
  readonly hemolysis_from: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Plasma with hemolysis from here on cannot show a negative. */
  readonly hemolysis_reject_from: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Icterus from here on is told. */
  readonly icterus_from: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** The protocol's id. */
  readonly id: string;
  /** Lipemia from here on is told. */
  readonly lipemia_from: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Whether lysis must have been testable. */
  readonly lysis_must_be_testable: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: boolean;
  };
  /** The methods that may be used, each with its rules. */
  readonly methods: {
    /** Rules for gel columns. */
    readonly gel?: Method;
    /** Rules for slides. */
    readonly slide?: Method;
    /** Rules for tubes. */
    readonly tube?: Method;
  };
  /** What the minor does to a verdict for packed cells. */
  readonly minor_with_packed_cells: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** The minor was not read. */
      readonly not_read:
        /** Worth knowing. */
        | "note"
        /** To be known before use. */
        | "caveat";
      /** The minor reacted. */
      readonly reactive:
        /** Worth knowing. */
        | "note"
        /** To be known before use. */
        | "caveat";
      /** The minor cannot be told apart. */
      readonly unresolved:
        /** Worth knowing. */
        | "note"
        /** To be known before use. */
        | "caveat";
      /** The minor cannot be used. */
      readonly void:
        /** Worth knowing. */
        | "note"
        /** To be known before use. */
        | "caveat";
    };
  };
  /** When a crossmatch is advised; asked before there is one, and never by a verdict. */
  readonly need?: NeedRules;
  /** What a negative test is worth beside a reactive autocontrol of its plasma. */
  readonly negative_test_with_reactive_auto: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
      /** It stands. */
      | "caveat"
      /** It does not stand. */
      | "unresolved"
      /** It stands if the saline control shows that the fault lies in the cells. */
      | "caveat_if_saline_control_reactive";
  };
  /** The least number of donors that say something together. */
  readonly panel_min_donors: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** The least plasma for one volume of packed cells. */
  readonly plasma_ratio_min: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Whether a pregnancy can sensitize. */
  readonly pregnancy_sensitises: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: boolean;
  };
  /** A grade from here on is a reaction. */
  readonly reactive_from: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
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
  };
  /** Days for which a transfusion counts as recent. */
  readonly recent_transfusion_days: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Hours over which the readings of one run may spread. */
  readonly run_max_hours: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Parts of saline to 1 part of mixture that a dilution may have. */
  readonly saline_parts: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** The greatest, not below `lo`. */
      readonly hi: number;
      /** The least. */
      readonly lo: number;
    };
  };
  /** Hours from drawing until a sample is too old. */
  readonly sample_max_hours: {
    /** For an animal that may have been sensitized. */
    readonly exposed: {
      /** What the value does, and why it is this one. */
      readonly note: string;
      /** A key of `sources`, or `choice`. */
      readonly source: string;
      /** The value. */
      readonly value: {
        /** In the refrigerator. */
        readonly fridge: number;
        /** At room temperature. */
        readonly room: number;
      };
    };
    /** For an animal that was not. */
    readonly naive: {
      /** What the value does, and why it is this one. */
      readonly note: string;
      /** A key of `sources`, or `choice`. */
      readonly source: string;
      /** The value. */
      readonly value: {
        /** In the refrigerator. */
        readonly fridge: number;
        /** At room temperature. */
        readonly room: number;
      };
    };
  };
  /** Days after a transfusion from which the recipient may be sensitized. */
  readonly sensitised_after_days: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Full citations by key. */
  readonly sources: {
    readonly [key: string]: string;
  };
  /** The species of recipient that it is meant for, at least one. */
  readonly species: ReadonlyArray<Species>;
  /** Whose blood types are compared. */
  readonly type_rules: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
      /** DEA 1. */
      | "dog"
      /** The AB system. */
      | "cat"
      /** Aa, Ca and Qa. */
      | "horse"
      /** None. */
      | "none";
  };
  /** Its version. A changed value is a new version. */
  readonly version: string;
  /** The strongest grade that counts as weak. */
  readonly weak_up_to: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
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
  };
}

/** How a transfusion is planned and watched. The veterinarian decides what, how much and
 * whether. */
export interface CareRules {
  /** Blood in the body, mL for each kg of body weight. */
  readonly blood_volume_ml_per_kg: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** The greatest, not below `lo`. */
      readonly hi: number;
      /** The least. */
      readonly lo: number;
    };
  };
  /** A temperature above this, °C, together with `fever_rise_c`, is a fever. */
  readonly fever_from_c: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** A rise above the baseline by more than this, °C. */
  readonly fever_rise_c: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** The pores of the ordinary filter, µm. */
  readonly filter_um: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** The greatest, not below `lo`. */
      readonly hi: number;
      /** The least. */
      readonly lo: number;
    };
  };
  /** The volume up to which a fine filter is used, and after which it is changed, mL. */
  readonly fine_filter_ml: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** The pores of the fine filter for small volumes, µm. */
  readonly fine_filter_um: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** The greatest, not below `lo`. */
      readonly hi: number;
      /** The least. */
      readonly lo: number;
    };
  };
  /** The most fine filters, one after the other; a volume that takes more has the ordinary one. */
  readonly fine_filters_max: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** By so many percent may the formula and the rule of thumb lie apart before it is told. */
  readonly formula_apart_percent: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Days for which unit, segments and the sample from before are kept. */
  readonly keep_days: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Minutes within which a unit, or a portion of it, has run in. */
  readonly max_min: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Hours for which what stays of an opened unit may be kept in the refrigerator. */
  readonly opened_hours: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** Hours after the end at which the PCV is measured. */
  readonly outcome_h: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: ReadonlyArray<number>;
  };
  /** Packed cells for each percent of PCV, mL/kg: the rule of thumb. */
  readonly packed_cells_ml_per_kg_per_percent: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** The greatest, not below `lo`. */
      readonly hi: number;
      /** The least. */
      readonly lo: number;
    };
  };
  /** The rate after that, mL/kg/h. */
  readonly rate_ml_per_kg_h: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** The greatest, not below `lo`. */
      readonly hi: number;
      /** The least. */
      readonly lo: number;
    };
  };
  /** The rate for an animal with a weak heart or weak kidneys, mL/kg/h. */
  readonly slow_rate_ml_per_kg_h: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** The greatest, not below `lo`. */
      readonly hi: number;
      /** The least. */
      readonly lo: number;
    };
  };
  /** Over how many minutes. */
  readonly start_min: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** What is given slowly at first, mL/kg. */
  readonly start_ml_per_kg: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** The warmest that a unit may be, °C. */
  readonly warm_max_c: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: number;
  };
  /** When the animal is looked at, at least one step; the last one holds to the end. */
  readonly watch: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: ReadonlyArray<WatchStep>;
  };
  /** Whole blood for each percent of PCV, mL/kg: the rule of thumb. */
  readonly whole_blood_ml_per_kg_per_percent: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** The greatest, not below `lo`. */
      readonly hi: number;
      /** The least. */
      readonly lo: number;
    };
  };
}

/** The rules of one method. */
export interface Method {
  /** Red cells in the suspension, percent by volume. */
  readonly cells_percent?: Rule3;
  /** Whether hemolysis must be looked for. */
  readonly hemolysis: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
      /** A negative reading without a look for hemolysis does not count. */
      | "required"
      /** It is recorded if it was looked for. */
      | "optional"
      /** It cannot be read with this method. */
      | "not_readable";
  };
  /** Minutes of incubation at each phase. */
  readonly incubation_min?: Rule5;
  /** Seconds after which a reading counts as delayed. */
  readonly late_after_seconds?: Rule2;
  /** The phases that are used, and what each is for; at least one `required` or `one_of`. */
  readonly phases: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** After antiglobulin. */
      readonly antiglobulin?: PhaseRole;
      /** At 4 °C. */
      readonly cold_4c?: PhaseRole;
      /** At room temperature. */
      readonly room?: PhaseRole;
      /** At 37 °C. */
      readonly warm_37c?: PhaseRole;
    };
  };
  /** Seconds from mixing within which a slide is read. */
  readonly seconds?: Rule;
  /** The tests, and which must be read. */
  readonly tests: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: {
      /** Donor plasma with donor cells. */
      readonly donor_auto:
        /** It must be read. */
        | "required"
        /** It may be read. */
        | "optional";
      /** Saline with donor cells; always `optional`. */
      readonly donor_saline:
        /** It must be read. */
        | "required"
        /** It may be read. */
        | "optional";
      /** Recipient plasma with donor cells; always `required`. */
      readonly major:
        /** It must be read. */
        | "required"
        /** It may be read. */
        | "optional";
      /** Donor plasma with recipient cells. */
      readonly minor:
        /** It must be read. */
        | "required"
        /** It may be read. */
        | "optional";
      /** Recipient plasma with recipient cells. */
      readonly recipient_auto:
        /** It must be read. */
        | "required"
        /** It may be read. */
        | "optional";
      /** Saline with recipient cells; always `optional`. */
      readonly recipient_saline:
        /** It must be read. */
        | "required"
        /** It may be read. */
        | "optional";
    };
  };
  /** The least number of washes. */
  readonly washes_min?: Rule4;
}

/** When a crossmatch is advised. The days after a transfusion are `sensitised_after_days`. */
export interface NeedRules {
  /** Whether one is advised before every later transfusion, however soon. */
  readonly before_every_later_transfusion: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: boolean;
  };
  /** Whether one is advised before a first transfusion. */
  readonly first_transfusion: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value:
      /** It is advised. */
      | "advised"
      /** It is not. */
      | "not_advised";
  };
  /** With which products a minor is advised besides. */
  readonly minor_with: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: ReadonlyArray<Product>;
  };
  /** The blood group systems in which recipient and donor are typed. */
  readonly type_in: {
    /** What the value does, and why it is this one. */
    readonly note: string;
    /** A key of `sources`, or `choice`. */
    readonly source: string;
    /** The value. */
    readonly value: ReadonlyArray<System>;
  };
}

/** What a phase is for. */
export type PhaseRole =
  /** A required test must be read there; it decides. */
  | "required"
  /** A required test must be read in at least one phase of this role; it decides. */
  | "one_of"
  /** It decides if it is read. */
  | "optional"
  /** It is recorded and never decides. */
  | "informative";

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

/** From `lo` to `hi`, both included. */
export interface Range {
  /** The greatest, not below `lo`. */
  readonly hi: number;
  /** The least. */
  readonly lo: number;
}

/** One value with its source. */
export interface Rule {
  /** What the value does, and why it is this one. */
  readonly note: string;
  /** A key of `sources`, or `choice`. */
  readonly source: string;
  /** The value. */
  readonly value: {
    /** The greatest, not below `lo`. */
    readonly hi: number;
    /** The least. */
    readonly lo: number;
  };
}

/** One value with its source. */
export interface Rule2 {
  /** What the value does, and why it is this one. */
  readonly note: string;
  /** A key of `sources`, or `choice`. */
  readonly source: string;
  /** The value. */
  readonly value: number;
}

/** One value with its source. */
export interface Rule3 {
  /** What the value does, and why it is this one. */
  readonly note: string;
  /** A key of `sources`, or `choice`. */
  readonly source: string;
  /** The value. */
  readonly value: {
    /** The greatest, not below `lo`. */
    readonly hi: number;
    /** The least. */
    readonly lo: number;
  };
}

/** One value with its source. */
export interface Rule4 {
  /** What the value does, and why it is this one. */
  readonly note: string;
  /** A key of `sources`, or `choice`. */
  readonly source: string;
  /** The value. */
  readonly value: number;
}

/** One value with its source. */
export interface Rule5 {
  /** What the value does, and why it is this one. */
  readonly note: string;
  /** A key of `sources`, or `choice`. */
  readonly source: string;
  /** The value. */
  readonly value: {
    /** Before antiglobulin. */
    readonly antiglobulin?: Range;
    /** At 4 °C. */
    readonly cold_4c?: Range;
    /** At room temperature. */
    readonly room?: Range;
    /** At 37 °C. */
    readonly warm_37c?: Range;
  };
}

/** The species of a recipient or donor. */
export type Species =
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

/** A blood group system of dogs, cats or horses. */
export type System =
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

/** How often the animal is looked at, up to a time from the start. */
export interface WatchStep {
  /** Every so many minutes. */
  readonly every_min: number;
  /** Up to so many minutes from the start. */
  readonly until_min: number;
}
