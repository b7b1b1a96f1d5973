#include "battery/difference.h"

#include "numeric/budget.h"

struct difference difference_of(const struct measure *a, const struct measure *b, const char *unit)
{
    struct difference difference = {.value = measure_sum(a, 1, b, -1), .cancelled = NAN};
    struct measure *value = &difference.value;
    if (!measure_known(value)) {
        snprintf(difference.words, sizeof difference.words, "cannot tell: %.140s", value->why);
        return difference;
    }
    budget_close(value);
    double apart = a->u * a->u + b->u * b->u;
    difference.cancelled = apart > 0 ? 1 - value->u * value->u / apart : 0;
    double half = value->hi - value->value;
    snprintf(difference.words, sizeof difference.words, "%+.3g %s ± %.2g %s: %s", value->value, unit, half,
             unit,
             value->lo > 0   ? "the first is higher"
             : value->hi < 0 ? "the first is lower"
                             : "no difference is shown");
    return difference;
}
