/* Label: what is printed on or promised with the sample, and what the tester noted about it.
 *
 * An INI file. [sample] names the unit and says how it was had; [claims] holds one statement a line;
 * [measured] what was weighed, measured or seen on this unit besides the discharge; [questions] what
 * is to be rechecked. A claim is `name = value with unit, conditions | where it was read`:
 *
 *     [claims]
 *     capacity = 100 Ah at 0.2 It, 25 °C, to 10 V | case
 *     continuous current = 100 A | manual
 *     peak current = 200 A for 5 s | listing
 *     mass = at most 10.5 kg | listing
 *     charging stops when cold = yes, below 0 °C | manual
 *     suits a load of 2000 W = yes | listing
 *
 * docs/label.md is the full form. */
#ifndef RUNDOWN_CLAIMS_LABEL_H
#define RUNDOWN_CLAIMS_LABEL_H

#include "base/notices.h"
#include "base/status.h"
#include "quantity/measure.h"
#include "quantity/unit.h"

enum claim_kind {
    CLAIM_NOMINAL_VOLTAGE,
    CLAIM_CAPACITY,
    CLAIM_ENERGY,
    CLAIM_CONTINUOUS_CURRENT,
    CLAIM_PEAK_CURRENT,
    CLAIM_CHARGE_VOLTAGE,
    CLAIM_CHARGE_CURRENT,
    CLAIM_CUT_OFF_VOLTAGE,     /* discharge ends at or above it */
    CLAIM_CHARGE_CUT_OFF,      /* the BMS ends a charge at or below it */
    CLAIM_CHARGE_TEMPERATURE_MIN,
    CLAIM_CHARGE_TEMPERATURE_MAX,
    CLAIM_DISCHARGE_TEMPERATURE_MIN,
    CLAIM_DISCHARGE_TEMPERATURE_MAX,
    CLAIM_MASS,
    CLAIM_LENGTH, CLAIM_WIDTH, CLAIM_HEIGHT,
    CLAIM_CELLS,
    CLAIM_CYCLE_LIFE,
    CLAIM_RESISTANCE,
    CLAIM_EFFICIENCY,
    CLAIM_YES_NO,              /* a statement in words, stated true */
    CLAIM_SUITS_LOAD,          /* indirect: `suits a load of X` */
    CLAIM_KINDS
};

enum sense { SENSE_AT_LEAST, SENSE_AT_MOST, SENSE_ABOUT, SENSE_TRUE };

struct claim {
    enum claim_kind kind;
    enum sense sense;
    char name[80];         /* as shown: "Capacity", or the tester's own words */
    char slug[80];         /* for --reply and JSON: "capacity", "charging-stops-when-cold" */
    enum quantity quantity;
    double stated;         /* own unit; NaN for a yes-or-no claim without a number */
    double tolerance;      /* SENSE_ABOUT: half-width that still conforms */
    double rate_it;        /* NaN where not stated, likewise below */
    double degc, cut_off_v, duration_s; /* duration: INFINITY for continuous */
    char as_stated[160];   /* the words of the file */
    char where[80];        /* case, manual, listing; "" */
    long line;
};

/* What the tester weighed, measured or saw on this unit. */
struct noted {
    char slug[80];
    struct measure measure; /* closed; NaN for a statement in words */
    int answer;             /* 1 yes, 0 no, -1 not a yes-or-no note */
    char words[160], where[80];
    long line;
};

enum had_from { HAD_UNKNOWN, HAD_BOUGHT, HAD_LENT, HAD_GIVEN_BY_MAKER };

struct label {
    char path[256];
    char sample[96];          /* "Sample 014" */
    char description[160];
    enum had_from had_from;
    char had_words[160];      /* as the file says it, for the sheet */
    char tested[64];          /* date in words, "" */
    bool lithium_iron_phosphate;
    int cells;                /* in series; 0 unknown. From `cells = 4S`, else nominal voltage / 3.2 V */
    bool cells_inferred;
    double price; char currency[8]; /* NaN, "" */
    bool invented;
    struct claim *claims; size_t claim_count;
    struct noted *noted;  size_t noted_count;
    char (*questions)[200]; size_t question_count;
    double rated_ah, rated_wh, nominal_v, continuous_a, peak_a, cut_off_v; /* of the first such claim; NaN */
};

enum status label_read(const char *path, struct label *ret_label, struct notices *notices,
                       struct message *message);
/* The same from memory; `path` is for messages. */
enum status label_read_text(const char *path, struct span text, struct label *ret_label, struct notices *notices,
                            struct message *message);
struct label label_empty(void);
void label_free(struct label *label);
const struct claim *label_claim(const struct label *label, enum claim_kind kind); /* NULL when absent */

/* The label against itself: V × Ah against Wh, cells, charge volts per cell, rates as multiples of
 * I_t, Wh/kg and Wh/L against physical plausibility. Each contradiction or implausibility is a notice
 * with topic "label". */
void label_check(const struct label *label, struct notices *notices);
/* Whether V × Ah is more than 1 % off the stated Wh; then the words say by how much. */
bool label_contradicts_itself(const struct label *label, char *words, size_t size);
/* Whether the cells in series that it states do not make its nominal volts; then the words say it. */
bool label_cells_and_volts_part(const struct label *label, char *words, size_t size);

#endif
