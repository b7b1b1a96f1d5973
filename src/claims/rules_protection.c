/* Protections: where the board stopped a charge for the temperature of its sensor.
 *
 * Direction matters: a cold stop meets its claim when it comes at or above the stated temperature, a hot one at or
 * below. What was found is the threshold, where a slow ramp gave one, else the temperature of the probe's place at that
 * moment, behind which the pack's own sensor lags: it was no colder than a place that was being chilled, and no hotter
 * than one that was being heated. So a stop at the claimed temperature meets the claim for sure, and one beyond it does
 * not, unless the lag may be all of it. A claim in words that a protection exists (stop_named.h) is met by a stop of
 * that kind that was seen; what nobody saw is not tested, and only who noted that it did not act contradicts it. A charge that went on beyond the stated temperature is told; whether the sensor was as cold is not known. */
#include "claims/rules.h"

#include "base/text.h"
#include "battery/trips.h"
#include "claims/stop_named.h"
#include "claims/usual_limits.h"

static const struct effect no_effect = {0};

/* Beyond which the sample is usually not charged; NaN for another chemistry. */
static double usual_degc(const struct label *label, enum trip_way way)
{
    if (!label->lithium_iron_phosphate)
        return NAN;
    return way == TRIP_COLD ? USUAL_COLD_DEGC : USUAL_HOT_HIGH_DEGC;
}

/* All stops of that kind, of all logs; the record is that of the first. */
static size_t gather(const struct evidence *evidence, struct stop_named named, struct trip trips[static TRIPS], size_t *ret_record)
{
    size_t count = 0;
    for (size_t r = 0; r < evidence->count; r++) {
        const struct findings *f = &evidence->findings[r];
        for (size_t k = 0; k < f->trip_count && count < TRIPS; k++) {
            if (f->trips[k].charging != named.charging || f->trips[k].way != named.way)
                continue;
            if (count == 0)
                *ret_record = r;
            trips[count++] = f->trips[k];
        }
    }
    return count;
}

/* "stopped at 1.3 ± 0.7 °C", else "stopped 212 ± 1 s after 'sensor chilled'", or when, where no mark says of what. */
static void say_seen(const struct trip *trip, char *words, size_t size)
{
    char degc[64], delay[64];
    if (measure_known(&trip->trip_degc)) {
        measure_print(&trip->trip_degc, "°C", degc, sizeof degc);
        snprintf(words, size, "stopped at %s by the probe", degc);
        return;
    }
    if (!measure_known(&trip->delay_s)) {
        snprintf(words, size, "stopped %.0f s into the readings", trip->at_s);
        return;
    }
    measure_print(&trip->delay_s, "s", delay, sizeof delay);
    snprintf(words, size, "stopped %s after '%s'", delay, trip->stimulus);
}

/* The furthest that a charge went on with the probe beyond the stated temperature, by more than the thermometer may be off,
 * which no stop ended; NaN. */
static double charged_on(const struct evidence *evidence, enum trip_way way, double stated, size_t *ret_record)
{
    bool cold = way == TRIP_COLD;
    double off_k = accuracy_bound(&evidence->rig->of[CHANNEL_TEMPERATURE], stated, 0);
    double least = cold ? stated - off_k : stated + off_k, furthest = least;
    for (size_t r = 0; r < evidence->count; r++) {
        const struct findings *f = &evidence->findings[r];
        for (size_t k = 0; k < f->run_count; k++) {
            double degc = cold ? f->runs[k].degc_min : f->runs[k].degc_max;
            if (f->runs[k].kind != RUN_CHARGE || !(cold ? degc < furthest : degc > furthest))
                continue;
            furthest = degc;
            *ret_record = r;
        }
    }
    return furthest == least ? NAN : furthest;
}

/* No stop was seen. */
static void not_stopped(const struct evidence *evidence, enum trip_way way, double stated, struct decision *decision)
{
    double degc = charged_on(evidence, way, stated, &decision->record);
    const char *treated = way == TRIP_COLD ? "cold" : "heat", *as = way == TRIP_COLD ? "cold" : "hot";
    if (isnan(degc)) {
        snprintf(decision->reason, sizeof decision->reason, "no charge was stopped by %s in the readings", treated);
        return;
    }
    decision->verdict = VERDICT_NOT_EXERCISED;
    decision->reached = degc;
    snprintf(decision->found, sizeof decision->found, "charged on at %.1f °C", degc);
    snprintf(decision->reason, sizeof decision->reason,
             "a charge went on with the probe at %.1f °C; whether the pack's own sensor was as %s is not known", degc, as);
    snprintf(decision->would_decide, sizeof decision->would_decide,
             "the probe at the sensor, or the whole pack left until it is as %s inside, and then a charge", as);
}

/* Whether the claim would fail too if the sensor was as far behind the place as it can be. */
static bool fails_behind(const struct evidence *evidence, const struct claim *claim, enum trip_way way,
                         const struct trip *trips, size_t count, const struct measure *place_degc)
{
    struct measure sensor = *place_degc;
    struct decision held;
    double lag_k = 0;
    for (size_t k = 0; k < count; k++)
        lag_k = isnan(trips[k].slope_k_per_s) ? INFINITY : fmax(lag_k, TRIP_LAG_MOST_S * fabs(trips[k].slope_k_per_s));
    double by = way == TRIP_COLD ? lag_k : -lag_k;
    sensor.value += by, sensor.lo += by, sensor.hi += by;
    if (isinf(lag_k))
        return false;
    rule_hold(evidence, claim, &sensor, &no_effect, &held);
    return held.verdict == VERDICT_NOT_MET;
}

void rule_charge_temperature(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    struct trip trips[TRIPS];
    enum trip_way way = claim->kind == CLAIM_CHARGE_TEMPERATURE_MIN ? TRIP_COLD : TRIP_HOT;
    size_t record = SIZE_MAX, count = gather(evidence, (struct stop_named){way, true}, trips, &record);
    if (count == 0) {
        not_stopped(evidence, way, claim->stated, decision);
        return;
    }
    decision->record = record;
    struct measure threshold = trips_pooled(trips, count, true, way, TRIP_THRESHOLD);
    struct measure degc = measure_known(&threshold) ? threshold : trips_pooled(trips, count, true, way, TRIP_DEGC);
    if (!measure_known(&degc)) {
        say_seen(&trips[0], decision->found, sizeof decision->found);
        decision->verdict = VERDICT_NOT_EXERCISED;
        snprintf(decision->reason, sizeof decision->reason, "the protection exists and acted; at which temperature was not measured");
        snprintf(decision->would_decide, sizeof decision->would_decide, "a probe at the sensor, and a slow ramp");
        return;
    }
    rule_hold(evidence, claim, &degc, &no_effect, decision);
    const char *pooled = count > 1 ? ", repeats pooled" : "", *lag = "";
    if (measure_known(&threshold)) {
        snprintf(decision->reason, sizeof decision->reason, "the threshold, by slow ramps%s", pooled);
    } else {
        bool met = decision->verdict == VERDICT_MET;
        if (decision->verdict == VERDICT_NOT_MET && fails_behind(evidence, claim, way, trips, count, &degc))
            lag = ", by too little to make up for it";
        else if (decision->verdict == VERDICT_NOT_MET)
            decision->verdict = VERDICT_TOO_CLOSE, decision->conditions_open = true;
        snprintf(decision->reason, sizeof decision->reason,
                 "of the probe's place when the charge stopped%s; the pack's own sensor lags behind it%s", pooled,
                 met ? ", to the side that meets the claim" : lag);
    }
    if (decision->verdict == VERDICT_TOO_CLOSE)
        snprintf(decision->would_decide, sizeof decision->would_decide, "slow ramps in both directions, several times");
}

/* "30.1 A was stopped at 9.79 ± 0.02 V" */
static void say_volts(const struct evidence *evidence, size_t record, const struct trip *trip, char *words, size_t size)
{
    char volts[48] = "";
    const struct measure *end_v = &evidence->findings[record].runs[trip->run].ended.end_v;
    if (measure_known(end_v) && trip->way != TRIP_OVER_CURRENT)
        measure_print(end_v, "V", volts, sizeof volts);
    snprintf(words, size, "%.3g A was stopped%s%s", trip->from_a, volts[0] != '\0' ? " at " : "", volts);
}

/* No stop was seen, and nobody noted one. */
static void stop_not_seen(const struct evidence *evidence, const struct claim *claim, struct stop_named named, struct decision *decision)
{
    bool by_sensor = named.way == TRIP_COLD || named.way == TRIP_HOT;
    if (by_sensor && named.charging)
        not_stopped(evidence, named.way, isnan(claim->stated) ? usual_degc(evidence->label, named.way) : claim->stated, decision);
    else
        snprintf(decision->reason, sizeof decision->reason, "no %s was stopped by the board for %s in the readings",
                 named.charging ? "charge" : "discharge",
                 named.way == TRIP_COLD           ? "cold"
                 : named.way == TRIP_HOT          ? "heat"
                 : named.way == TRIP_OVER_CURRENT ? "its current"
                 : named.way == TRIP_LOW          ? "an empty cell"
                                                  : "a full cell");
}

/* Volts that were read away from the sample go the same way for a clip that slipped off as for a board that opened. Those of
 * an empty cell were falling to it before. */
static bool may_be_a_clip(const struct evidence *evidence, struct stop_named named)
{
    return !evidence->rig->sense_leads && (named.charging || named.way != TRIP_LOW);
}

void rule_yes_no(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    struct trip trips[TRIPS];
    struct stop_named named = stop_named(claim);
    bool by_sensor = named.way == TRIP_COLD || named.way == TRIP_HOT;
    size_t record = SIZE_MAX, count = named.way != TRIP_UNKNOWN ? gather(evidence, named, trips, &record) : 0;
    if (count == 0) {
        rule_noted(evidence, claim, decision);
        if (decision->verdict == VERDICT_NOT_TESTED && named.way != TRIP_UNKNOWN)
            stop_not_seen(evidence, claim, named, decision);
        else if (decision->verdict == VERDICT_NOT_TESTED && span_has_word(span_of(claim->slug), "short-circuit"))
            snprintf(decision->reason, sizeof decision->reason, "a short circuit is not among the tests");
        return;
    }
    /* Unless it let the current on again, or came again, either may have been. */
    bool clip = may_be_a_clip(evidence, named), slipped = clip && count == 1 && !isfinite(trips[0].released_s);
    decision->record = record;
    decision->verdict = slipped ? VERDICT_TOO_CLOSE : VERDICT_MET;
    if (by_sensor)
        say_seen(&trips[0], decision->found, sizeof decision->found);
    else
        say_volts(evidence, record, &trips[0], decision->found, sizeof decision->found);
    snprintf(decision->reason, sizeof decision->reason, "the terminals behaved as those of a pack that has opened%s",
             !clip            ? ""
             : named.charging ? "; volts read at the supply would show the same of a clip that slipped off"
                              : "; volts read at the load would show the same of a clip that slipped off");
    if (slipped)
        snprintf(decision->would_decide, sizeof decision->would_decide,
                 "volts read at the sample's own terminals, or the current seen to go on again by itself, or the stop seen twice");
}
