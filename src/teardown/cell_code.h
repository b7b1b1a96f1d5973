/* Cell code: the 24 characters of GB/T 34014-2017 on a cell, taken apart.
 *
 *     1–3 maker · 4 pack, module or cell · 5 chemistry · 6–7 specification · 8–14 trace, of the maker's own ·
 *     15 year, 16 month, 17 day · 18–24 serial number of the day
 *
 * A re-used cell has 19: 1–7 and the date, a serial of seven digits, R, and P, M or C. The layout and the letters of
 * B and E were read in secondary texts; the other chemistries and the letters of dates are from memory. The meaning of
 * maker, specification and trace is in registers that are not public: they are shown, not read. Letters I, O, Q, U
 * and Z stand for no number in a date. A newer rule (GB/T 45565-2025, from memory) has another layout: what does not fit
 * is said to be of an unknown layout, and nothing is guessed.
 *
 * A code shows what somebody printed: a wrapper can be printed anew. */
#ifndef RUNDOWN_TEARDOWN_CELL_CODE_H
#define RUNDOWN_TEARDOWN_CELL_CODE_H

#include "base/text.h"

#include <stddef.h>

enum { CELL_CODE = 24, CELL_CODE_FAULTS = 6 };

struct cell_code {
    char code[CELL_CODE + 1]; /* blanks and hyphens left out, letters large */
    bool whole;               /* every place reads as the layout says */
    bool reused;
    char maker[4], specification[3], trace[8];
    char kind;                /* 'P', 'M', 'C'; 0 unknown */
    char chemistry;           /* 'A' to 'G', 'Z'; 0 unknown */
    int year, month, day;     /* 0 where the place does not read */
    long serial;              /* -1 likewise */
    char faults[CELL_CODE_FAULTS][96]; /* what does not fit, in words */
    size_t fault_count;
};

/* Takes what was typed or read off a picture; never fails: what does not fit is said. */
struct cell_code cell_code_read(struct span typed);

const char *cell_code_kind(char kind);           /* "cell"; "unknown" */
const char *cell_code_chemistry(char chemistry); /* "lithium iron phosphate" */

/* Days from the date of the code to another; INT_MIN where the code has no date. */
int cell_code_age_days(const struct cell_code *code, int year, int month, int day);

/* Whether cells can be one batch, from their codes alone: same maker, specification and chemistry, and how far
 * their dates lie apart. */
struct cell_batch {
    size_t read, makers, specifications, chemistries; /* codes that are whole; how many different ones among them */
    int days_apart;
    size_t repeated; /* codes that occur more than once: no two cells have the same */
};
struct cell_batch cell_code_batch(const struct cell_code *codes, size_t count);

#endif
