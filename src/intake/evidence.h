/* Evidence: what a log tells about its columns where no header does.
 *
 * A preamble line that lists the columns in words, as many as there are columns, is used and said. The
 * numbers themselves are only good for a proposal in a refusal: they are never believed unasked. */
#ifndef RUNDOWN_INTAKE_EVIDENCE_H
#define RUNDOWN_INTAKE_EVIDENCE_H

#include "intake/log_layout.h"

/* `Description: columns are time, Current, Voltage and Power`: fills the names of all columns and returns
 * the line's number, 0 when there is no such line. */
long evidence_list(const struct log_layout *layout, char (*ret_names)[96]);

/* `Timestep,1Hz`, `Sample interval: 0.5 s`: seconds between rows, and the line; 0 when none says. */
double evidence_period(const struct log_layout *layout, long *ret_line);

/* Columns (from 0, -1 unknown) that fit a time, and three whose numbers obey power = voltage × current;
 * the current is the factor that is zero or negative somewhere. */
struct proposal {
    int time, voltage, current, power;
};
struct proposal evidence_propose(const struct log_layout *layout);

/* How the cells of one column look in the stretch read. */
struct column_look {
    size_t numbers, times, words, missing, modes, changes; /* rows; changes: unlike the row before */
    double first, last;                                    /* number cells */
    bool is_mode;                                          /* the last cell of words was one */
    int decimals;                                          /* most digits after the decimal sign */
};
void evidence_look(const struct log_layout *layout, size_t columns, struct column_look *ret_looks);

/* Are the cells of two columns the same text in every line? */
bool evidence_same(const struct log_layout *layout, size_t a, size_t b);

/* The first data row, `1: 0 | 2: 0.028243 | …`, cut to size. */
void evidence_first_row(const struct log_layout *layout, char *buffer, size_t size);

/* +1 or -1 when a comment or preamble line says which way current counts, 0 when none does. */
int evidence_sign(const struct log_layout *layout);

/* A preamble line says that the data are invented. */
bool evidence_invented(const struct log_layout *layout);

#endif
