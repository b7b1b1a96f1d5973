#include "claims/usual_limits.h"

#include "battery/findings.h"
#include "battery/trips.h"
#include "claims/conformity.h"
#include "claims/label.h"
#include "claims/stop_named.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum side { BELOW, ABOVE, UNDECIDED };

static enum side side_of(const struct measure *found, double limit, double decide)
{
    double p = conformity_at_least(found, limit);
    return p >= decide ? ABOVE : p <= 1 - decide ? BELOW : UNDECIDED;
}

__attribute__((format(printf, 3, 4)))
static void say(char *words, size_t size, const char *format, ...)
{
    size_t used = strlen(words);
    va_list list;
    va_start(list, format);
    vsnprintf(words + used, size - used, format, list);
    va_end(list);
}

/* What may be said of the pack's own sensor, when only its place was measured and that was beyond the limit. */
static const char *perhaps_not(const struct trip *trip, bool beyond)
{
    return beyond && !measure_known(&trip->threshold_degc) ? ", the pack's own sensor perhaps not" : "";
}

static void say_cold(struct trip *trip, const struct measure *degc, double decide)
{
    static const char *const where[] = {"it went on below that", "it stopped above that", "on which side it stopped is too close to call"};
    enum side side = side_of(degc, USUAL_COLD_DEGC, decide);
    say(trip->usual, sizeof trip->usual, "lithium iron phosphate is usually not charged below %.3g °C: %s%s", USUAL_COLD_DEGC,
        side == BELOW && !measure_known(&trip->threshold_degc) ? "the probe's place was below that" : where[side],
        perhaps_not(trip, side == BELOW));
}

static void say_hot(struct trip *trip, const struct measure *degc, double decide)
{
    enum side low = side_of(degc, USUAL_HOT_LOW_DEGC, decide), high = side_of(degc, USUAL_HOT_HIGH_DEGC, decide);
    const char *what = measure_known(&trip->threshold_degc) || low == BELOW ? "it stopped" : "the probe's place was";
    char where[48];
    if (low == UNDECIDED || high == UNDECIDED)
        snprintf(where, sizeof where, "at about %.3g °C", low == UNDECIDED ? USUAL_HOT_LOW_DEGC : USUAL_HOT_HIGH_DEGC);
    else
        snprintf(where, sizeof where, "%s", low == BELOW ? "below both" : high == BELOW ? "between the two" : "above both");
    say(trip->usual, sizeof trip->usual, "lithium iron phosphate is usually not charged above %.3g °C, by some %.3g °C: %s %s%s",
        USUAL_HOT_LOW_DEGC, USUAL_HOT_HIGH_DEGC, what, where, perhaps_not(trip, low == ABOVE));
}

static void say_full(const struct findings *findings, struct trip *trip, double decide)
{
    static const char *const where[] = {"below it; one cell may have stood higher",
                                        "above it, with what leads and board take", "too close to it to call"};
    for (size_t k = 0; k < findings->charging_count; k++) {
        const struct measure *v = &findings->chargings[k].end_cell_v;
        if (findings->chargings[k].run == trip->run && measure_known(v))
            say(trip->usual, sizeof trip->usual, "the usual limit of lithium iron phosphate is %.3g V a cell: their mean at the terminals was %.3f V, %s",
                USUAL_MOST_CELL_V, v->value, where[side_of(v, USUAL_MOST_CELL_V, decide)]);
    }
}

/* The cells stand higher than the terminals by what leads and board take, which is part of I·R. */
static void say_empty(struct low_stop *stop, int cells, double decide)
{
    if (cells <= 0 || !measure_known(&stop->end_v))
        return;
    double limit_v = USUAL_LEAST_CELL_V * cells;
    enum side side = side_of(&stop->end_v, limit_v, decide);
    say(stop->words, sizeof stop->words, "; the usual limit of lithium iron phosphate is %.3g V a cell: their mean at the terminals was %s",
        USUAL_LEAST_CELL_V,
        side == ABOVE                 ? "above it; one cell may have stood lower"
        : side == UNDECIDED           ? "too close to it to call"
        : isnan(stop->v_plus_ir)      ? "below it, under a load of which I·R is not known"
        : stop->v_plus_ir >= limit_v  ? "below it, but not with I·R added"
                                      : "below it, with I·R added too");
}

void usual_limits_say(const struct label *label, double decide, struct findings *findings)
{
    if (!label->lithium_iron_phosphate)
        return;
    for (size_t k = 0; k < findings->trip_count; k++) {
        struct trip *trip = &findings->trips[k];
        const struct measure *degc = measure_known(&trip->threshold_degc) ? &trip->threshold_degc : &trip->trip_degc;
        if (trip->charging && trip->way == TRIP_COLD && measure_known(degc))
            say_cold(trip, degc, decide);
        else if (trip->charging && trip->way == TRIP_HOT && measure_known(degc))
            say_hot(trip, degc, decide);
        else if (trip->charging && trip->way == TRIP_HIGH)
            say_full(findings, trip, decide);
        if (trip->usual[0] != '\0')
            say(trip->words, sizeof trip->words, "; %s", trip->usual);
    }
    for (size_t k = 0; k < findings->low_stop_count; k++)
        say_empty(&findings->low_stops[k], label->cells, decide);
}

static bool is_claimed(const struct label *label, enum trip_way way)
{
    enum claim_kind kind = way == TRIP_COLD ? CLAIM_CHARGE_TEMPERATURE_MIN : CLAIM_CHARGE_TEMPERATURE_MAX;
    for (size_t k = 0; k < label->claim_count; k++) {
        struct stop_named named = stop_named(&label->claims[k]);
        if (label->claims[k].kind == kind || (named.way == way && named.charging))
            return true;
    }
    return false;
}

void usual_limits_mind(const struct label *label, const struct findings *findings, const char *log, struct notices *notices)
{
    static const struct {
        enum trip_way way;
        double degc;
        const char *beyond, *as;
    } limits[] = {{TRIP_COLD, USUAL_COLD_DEGC, "below", "cold"}, {TRIP_HOT, USUAL_HOT_HIGH_DEGC, "above", "hot"}};
    for (size_t k = 0; k < 2 && label->lithium_iron_phosphate; k++) {
        double furthest = limits[k].degc;
        for (size_t r = 0; r < findings->run_count; r++) {
            const struct run *run = &findings->runs[r];
            if (run->kind == RUN_CHARGE && trip_by_sensor(findings, r) == NULL)
                furthest = limits[k].way == TRIP_COLD ? fmin(furthest, run->degc_min) : fmax(furthest, run->degc_max);
        }
        if (furthest != limits[k].degc && !is_claimed(label, limits[k].way))
            notices_add(notices, "charge", 0, "%s: A charge went on with the probe at %.1f °C; lithium iron phosphate is usually not "
                        "charged %s %.3g °C. Whether the pack's own sensor was as %s is not known.", log, furthest,
                        limits[k].beyond, limits[k].degc, limits[k].as);
    }
}
