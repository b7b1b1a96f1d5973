/* What a numerical method says when it has no number: a reason, never a value that looks fine.
 *
 * Outputs are untouched unless the answer is ANSWER_OK; curvefit says where it differs. */
#ifndef RUNDOWN_NUMERIC_ANSWER_H
#define RUNDOWN_NUMERIC_ANSWER_H

enum answer {
    ANSWER_OK = 0,
    ANSWER_TOO_FEW,       /* fewer readings than unknowns */
    ANSWER_DEGENERATE,    /* the readings do not determine the unknowns (all x equal, columns alike) */
    ANSWER_NOT_FINITE,    /* a NaN or an infinity came in, or the model returned one */
    ANSWER_NO_MEMORY,     /* too large for the memory there is */
    ANSWER_NOT_CONVERGED, /* the search stopped before it found a minimum */
};

/* The reason as words that follow "cannot tell: ". Static. */
const char *answer_reason(enum answer answer);

#endif
