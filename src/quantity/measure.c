#include "quantity/measure.h"

#include "base/number.h"

#include <stdarg.h>

static const char *const cause_names[CAUSES] = {
    [CAUSE_GAIN_CURRENT] = "gain of the current channel",
    [CAUSE_GAIN_VOLTAGE] = "gain of the voltage channel",
    [CAUSE_GAIN_OTHER] = "gain",
    [CAUSE_OFFSET_CURRENT] = "offset of the current channel",
    [CAUSE_OFFSET_VOLTAGE] = "offset of the voltage channel",
    [CAUSE_OFFSET_OTHER] = "offset",
    [CAUSE_RESOLUTION] = "resolution",
    [CAUSE_NOISE] = "noise",
    [CAUSE_SAMPLING] = "between samples",
    [CAUSE_STEP_INSTANTS] = "instants of the steps",
    [CAUSE_CLOCK] = "clock",
    [CAUSE_GAP] = "gaps in the readings",
    [CAUSE_LOAD_LAW] = "load law",
    [CAUSE_HEDGE] = "how the values were had",
    [CAUSE_RIPPLE] = "ripple of the load",
    [CAUSE_SKEW] = "volts and amps not read at once",
    [CAUSE_LEADS] = "leads",
    [CAUSE_FIT] = "fit",
    [CAUSE_CONDITIONS] = "conditions of the test",
};

const char *cause_name(enum cause cause)
{
    return cause_names[cause];
}

struct measure measure_of(double value)
{
    return (struct measure){.value = value, .dof = INFINITY, .lo = NAN, .hi = NAN};
}

struct measure measure_unknown(const char *why, ...)
{
    struct measure measure = {.value = NAN, .u = NAN, .dof = NAN, .lo = NAN, .hi = NAN};
    va_list args;
    va_start(args, why);
    vsnprintf(measure.why, sizeof measure.why, why, args);
    va_end(args);
    return measure;
}

bool measure_known(const struct measure *measure)
{
    return !isnan(measure->value);
}

static bool mergeable(const struct part *a, const struct part *b)
{
    if (a->cause != b->cause || a->source != b->source)
        return false;
    if (a->source != 0)
        return a->shape == b->shape;
    /* independent parts add in quadrature, but only normal ones keep their shape */
    return a->shape == SHAPE_NORMAL && b->shape == SHAPE_NORMAL;
}

/* Welch–Satterthwaite for two (GUM G.4.1). */
static double merged_dof(double u1, double dof1, double u2, double dof2)
{
    double below = pow(u1, 4) / dof1 + pow(u2, 4) / dof2;
    return below > 0 ? pow(u1 * u1 + u2 * u2, 2) / below : INFINITY;
}

static void merge(struct part *into, const struct part *from)
{
    if (into->source != 0) {
        into->dof = fmin(into->dof, from->dof);
        into->u += from->u;
        return;
    }
    into->dof = merged_dof(into->u, into->dof, from->u, from->dof);
    into->u = hypot(into->u, from->u);
}

static int smallest_free(const struct measure *measure, int besides)
{
    int found = -1;
    for (int k = 0; k < measure->count; k++) {
        const struct part *part = &measure->parts[k];
        if (k == besides || part->source != 0)
            continue;
        if (found < 0 || fabs(part->u) < fabs(measure->parts[found].u))
            found = k;
    }
    return found;
}

/* The smallest two become one normal part: their shape no longer matters beside the larger ones. */
static void make_room(struct measure *measure)
{
    int one = smallest_free(measure, -1);
    int two = smallest_free(measure, one);
    if (one < 0 || two < 0)
        one = measure->count - 1, two = measure->count - 2;
    struct part *keep = &measure->parts[two];
    keep->dof = merged_dof(keep->u, keep->dof, measure->parts[one].u, measure->parts[one].dof);
    keep->u = hypot(keep->u, measure->parts[one].u);
    keep->shape = SHAPE_NORMAL;
    keep->source = 0;
    measure->parts[one] = measure->parts[--measure->count];
}

void measure_part(struct measure *measure, struct part part)
{
    if (part.u == 0)
        return;
    if (part.dof == 0)
        part.dof = INFINITY;
    for (int k = 0; k < measure->count; k++) {
        if (mergeable(&measure->parts[k], &part)) {
            merge(&measure->parts[k], &part);
            return;
        }
    }
    if (measure->count == MEASURE_PARTS)
        make_room(measure);
    measure->parts[measure->count++] = part;
}

struct measure measure_scale(const struct measure *a, double factor)
{
    if (!measure_known(a))
        return *a;
    struct measure result = measure_of(a->value * factor);
    for (int k = 0; k < a->count; k++) {
        struct part part = a->parts[k];
        part.u *= factor;
        measure_part(&result, part);
    }
    return result;
}

struct measure measure_sum(const struct measure *a, double factor_a, const struct measure *b, double factor_b)
{
    if (!measure_known(a))
        return *a;
    if (!measure_known(b))
        return *b;
    struct measure result = measure_scale(a, factor_a);
    result.value += b->value * factor_b;
    for (int k = 0; k < b->count; k++) {
        struct part part = b->parts[k];
        part.u *= factor_b;
        measure_part(&result, part);
    }
    return result;
}

void measure_print(const struct measure *measure, const char *symbol, char *buffer, size_t size)
{
    if (!measure_known(measure)) {
        snprintf(buffer, size, "cannot tell");
        return;
    }
    double half = 0.5 * (measure->hi - measure->lo);
    char value[32], width[32];
    const char *gap = symbol[0] != '\0' ? " " : "";
    number_print(measure->value, half, value, sizeof value);
    if (!(half > 0)) {
        snprintf(buffer, size, "%s%s%s", value, gap, symbol);
        return;
    }
    number_print(half, half, width, sizeof width);
    snprintf(buffer, size, "%s ± %s%s%s", value, width, gap, symbol);
}

void measure_print_in(const struct measure *measure, enum quantity quantity, char *buffer, size_t size)
{
    double factor;
    const char *symbol = quantity_shown(quantity, &factor);
    struct measure shown = *measure;
    shown.value *= factor, shown.lo *= factor, shown.hi *= factor;
    measure_print(&shown, symbol, buffer, size);
}
