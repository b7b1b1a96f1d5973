/* Guide: how one of the pack's protections, or a charge, is tested by hand: what the test can show and what it cannot,
 * what is needed, preparation, cautions, steps in order with the marks to put, when to stop, what to note.
 *
 * The sheets are data (guide_lines.c), filled in with what the label states, else with what is usual for lithium iron
 * phosphate cells, and chosen by what the rig can read and the loads can draw. No sheet goes beyond the limits of the
 * cells, 3.65 V and 2.5 V each, or charges cells that are below 0 °C for more than the five seconds in which a board
 * acts (limits: several general pages that agree). A claim that lies beyond them is not followed: the sheet says so.
 *
 * A mark is in the words that battery/trip_stimulus.h understands.
 *
 * There is no sheet for a short circuit: guide_no_short says why. */
#ifndef RUNDOWN_CLAIMS_GUIDE_H
#define RUNDOWN_CLAIMS_GUIDE_H

#include "claims/label.h"
#include "claims/loads.h"
#include "quantity/accuracy.h"

enum guide_test {
    GUIDE_CHARGE,
    GUIDE_COLD_CHARGE,
    GUIDE_HOT_CHARGE,
    GUIDE_OVER_CURRENT,
    GUIDE_LOW_VOLTAGE,
    GUIDE_HIGH_VOLTAGE,
    GUIDE_TESTS
};
const char *guide_name(enum guide_test test);  /* "charge", "cold-charge", … */
const char *guide_title(enum guide_test test); /* "Full charge with rest", … */
const char *guide_kind(enum guide_test test);  /* of the run that records it: "charge", "protection", … */
enum guide_test guide_named(const char *name); /* GUIDE_TESTS: none */

/* The sheet that would test this claim; GUIDE_TESTS: none does. */
enum guide_test guide_of_claim(const struct claim *claim);

enum guide_part {
    GUIDE_SHOWS,
    GUIDE_SHOWS_NOT,
    GUIDE_NEEDS,
    GUIDE_PREPARE,
    GUIDE_CAUTIONS,
    GUIDE_STEPS,
    GUIDE_STOP,
    GUIDE_NOTE,
    GUIDE_SOURCES,
    GUIDE_PARTS
};
const char *guide_part_name(enum guide_part part);    /* "shows", "shows_not", … */
const char *guide_part_heading(enum guide_part part); /* "What it can show", … */

enum { GUIDE_LINES = 64, GUIDE_NUMBERS = 8 };
struct guide_line {
    enum guide_part part;
    char words[480]; /* sentences */
    char mark[48];   /* of a step: the mark to put as it is done; "" none */
};

/* A number of this sample, and where it is from. */
struct guide_number {
    const char *what;              /* "highest charge volts" */
    char words[96], from[96];      /* "cannot tell" where neither label nor what is usual gives one */
};

struct guide {
    enum guide_test test;
    char sample[96]; /* "" none */
    bool invented;
    struct guide_number numbers[GUIDE_NUMBERS];
    size_t number_count;
    struct guide_line lines[GUIDE_LINES]; /* by part, in order */
    size_t count;
};

/* `loads` may be NULL: none are known. Refused for a label of another chemistry: the limits would not be its cells'. */
enum status guide_make(enum guide_test test, const struct label *label, const struct rig *rig, const struct loads *loads,
                       struct guide *ret_guide, struct message *message);

extern const char guide_no_short[]; /* why a short circuit is not tested here */

#endif
