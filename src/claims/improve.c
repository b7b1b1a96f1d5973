#include "claims/improve.h"

#include <math.h>
#include <stdlib.h>

const char *improvable_name(enum improvable what)
{
    static const char *const names[] = {"voltage", "current", "shunt", "clock", "ripple"};
    return names[what];
}

static void scale_meter(struct accuracy *accuracy, double by)
{
    accuracy->gain *= by;
    accuracy->offset *= by;
    accuracy->digits *= by;
}

/* The rig with that part's error taken `by` times. */
static struct rig improved(const struct rig *rig, enum improvable what, double by)
{
    struct rig better = *rig;
    switch (what) {
    case IMPROVE_VOLTAGE: scale_meter(&better.of[CHANNEL_VOLTAGE], by); break;
    case IMPROVE_CURRENT: scale_meter(&better.of[CHANNEL_CURRENT], by); break;
    case IMPROVE_SHUNT: better.of[CHANNEL_CURRENT].shunt_gain *= by; break;
    case IMPROVE_CLOCK: better.clock *= by; break;
    default: better.ripple = 0;
    }
    return better;
}

static bool is_stated(const struct rig *rig, enum improvable what)
{
    switch (what) {
    case IMPROVE_VOLTAGE: return rig->of[CHANNEL_VOLTAGE].stated;
    case IMPROVE_CURRENT: return rig->of[CHANNEL_CURRENT].stated;
    case IMPROVE_RIPPLE: return !isnan(rig->ripple);
    default: return true;
    }
}

/* Mean share by which the half-widths shrink. */
static double brings(const struct plan *now, const struct plan *then)
{
    double sum = 0;
    size_t count = 0;
    for (size_t k = 0; k < now->count; k++) {
        if (!(now->prospects[k].half_width > 0))
            continue;
        sum += 1 - then->prospects[k].half_width / now->prospects[k].half_width;
        count++;
    }
    return count > 0 ? sum / (double)count : 0;
}

static size_t settles(const struct plan *now, const struct plan *then)
{
    size_t count = 0;
    for (size_t k = 0; k < now->count; k++)
        count += now->prospects[k].outlook != OUTLOOK_DECIDES && then->prospects[k].outlook == OUTLOOK_DECIDES;
    return count;
}

/* By what can be had: half the uncertainty of a meter, all of what need only be stated. */
static int by_what_it_brings(const void *left, const void *right)
{
    const struct improvement *a = left, *b = right;
    double first = isnan(a->halved_brings) ? a->ideal_brings : a->halved_brings;
    double second = isnan(b->halved_brings) ? b->ideal_brings : b->halved_brings;
    return (first < second) - (first > second);
}

void improve(const struct label *label, const struct rig *rig, const struct loads *loads, const struct plan *now,
             struct improvements *ret_improvements)
{
    ret_improvements->count = 0;
    for (int k = 0; k < IMPROVABLES; k++) {
        enum improvable what = (enum improvable)k;
        struct rig half = improved(rig, what, 0.5), none = improved(rig, what, 0);
        struct plan ideal = plan_make(label, &none, loads), halved = {0};
        double ideal_brings = brings(now, &ideal), halved_brings = NAN;
        if (!(ideal_brings > 0)) {
            plan_free(&ideal);
            continue;
        }
        if (what != IMPROVE_RIPPLE) {
            halved = plan_make(label, &half, loads);
            halved_brings = brings(now, &halved);
        }
        ret_improvements->items[ret_improvements->count++] =
            (struct improvement){what, halved, ideal, halved_brings, ideal_brings, settles(now, &ideal), is_stated(rig, what)};
    }
    qsort(ret_improvements->items, ret_improvements->count, sizeof *ret_improvements->items, by_what_it_brings);
}

void improvements_free(struct improvements *improvements)
{
    for (size_t k = 0; k < improvements->count; k++) {
        plan_free(&improvements->items[k].halved);
        plan_free(&improvements->items[k].ideal);
    }
    improvements->count = 0;
}
