/* The sheets of guide.h as they stand before a label, a rig and loads have filled them in; of this folder only. */
#ifndef RUNDOWN_CLAIMS_GUIDE_PARTS_H
#define RUNDOWN_CLAIMS_GUIDE_PARTS_H

#include "claims/guide.h"

/* What must hold for a line to stand on the sheet: all of its bits. */
enum guide_when {
    WHEN_PROBE = 1 << 0,    /* the rig reads a temperature at the sample */
    WHEN_NO_PROBE = 1 << 1,
    WHEN_LAG = 1 << 2,      /* … and states the lag of the probe */
    WHEN_NO_LAG = 1 << 3,
    WHEN_INVERTER = 1 << 4, /* the loads stand behind an inverter */
    WHEN_REACH = 1 << 5,    /* the loads known reach the largest current that is asked */
    WHEN_SHORT = 1 << 6,    /* they do not */
    WHEN_NO_LOADS = 1 << 7,
    WHEN_STATED = 1 << 8,   /* the label states the limit that this sheet is about */
    WHEN_UNSTATED = 1 << 9,
    WHEN_BEYOND = 1 << 10,  /* … beyond what the cells stand */
    WHEN_PEAK = 1 << 11,    /* the label states a peak current */
};

/* `{charge_v}` and its like in the words are filled in by guide_facts.c, which lists them. */
struct guide_template {
    enum guide_part part;
    unsigned when;
    const char *words, *mark; /* mark NULL: none */
};

/* Ended by words NULL. The second list stands on every sheet. */
extern const struct guide_template *const guide_templates[GUIDE_TESTS];
extern const struct guide_template guide_common[];

enum guide_key {
    KEY_LIMIT, KEY_MOST_V, KEY_LEAST_V, KEY_WATCH_V, KEY_CHARGE_V, KEY_CHARGE_A, KEY_TAIL_A, KEY_SMALL_A, KEY_LOAD_A,
    KEY_RATED_A, KEY_HOLD_TIME, KEY_PEAK_A, KEY_PEAK_TIME, KEY_PEAK_NEED, KEY_REACH_A, KEY_RAMP_FROM, KEY_RAMP_TO,
    KEY_RAMP_TIME, KEY_SOAK_DEGC, KEY_LAG, KEY_LAG_K, GUIDE_KEYS
};
extern const char *const guide_key_names[GUIDE_KEYS]; /* "charge_v", … */

struct guide_fact {
    char words[96]; /* as it stands in a sentence */
    char from[96];
    bool told;      /* false: `words` stand for what cannot be told */
};
struct guide_facts {
    struct guide_fact of[GUIDE_KEYS];
    unsigned when; /* all that holds */
};
void guide_facts_find(enum guide_test test, const struct label *label, const struct rig *rig, const struct loads *loads,
                      struct guide_facts *ret_facts);
/* The numbers that the sheet lists, in order, ended by GUIDE_KEYS; `ret_what` their names. */
size_t guide_facts_listed(enum guide_test test, enum guide_key ret_keys[static GUIDE_NUMBERS],
                          const char *ret_what[static GUIDE_NUMBERS]);

#endif
