#include "report/words.h"

#include "base/text.h"

void words_probability(const struct decision *decision, char *buffer, size_t size)
{
    double p = decision->probability;
    buffer[0] = '\0';
    if (isnan(p) || decision->conditions_open || decision->verdict == VERDICT_NOT_EXERCISED || decision->verdict == VERDICT_NOT_TESTED)
        return;
    if (p > 0.9995)
        snprintf(buffer, size, "p > 0.999");
    else if (p < 0.0005)
        snprintf(buffer, size, "p < 0.001");
    else
        snprintf(buffer, size, "p %.3f", p);
}
