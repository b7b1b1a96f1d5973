#include "numeric/answer.h"

const char *answer_reason(enum answer answer)
{
    switch (answer) {
    case ANSWER_OK: return "nothing is missing";
    case ANSWER_TOO_FEW: return "there are too few readings";
    case ANSWER_DEGENERATE: return "the readings do not vary in the way that would determine it";
    case ANSWER_NOT_FINITE: return "a value is not a finite number";
    case ANSWER_NO_MEMORY: return "there is not enough memory";
    case ANSWER_NOT_CONVERGED: return "the search found no minimum";
    }
    return "";
}
