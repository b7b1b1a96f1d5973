/* Protections: where the board stopped a charge for the temperature of its sensor.
 *
 * Direction matters: a cold stop meets its claim when it comes at or above the stated temperature, a hot one at or
 * below. What was found is the temperature of the probe's place at that moment. A claim in words, that charging stops
 * when cold or hot, is met by a stop that was seen. */
#include "claims/rules.h"

#include "base/text.h"
#include "battery/trips.h"

static const struct effect no_effect = {0};

/* All stops of that way, of all logs. */
static size_t gather(const struct evidence *evidence, enum trip_way way, struct trip trips[static TRIPS], size_t *ret_record)
{
    size_t count = 0;
    for (size_t r = 0; r < evidence->count; r++) {
        const struct findings *f = &evidence->findings[r];
        for (size_t k = 0; k < f->trip_count && count < TRIPS; k++) {
            if (!f->trips[k].charging || f->trips[k].way != way)
                continue;
            trips[count++] = f->trips[k];
            *ret_record = r;
        }
    }
    return count;
}

/* "stopped 212 ± 1 s after 'sensor chilled'", or when, where no mark says of what. */
static void say_seen(const struct trip *trip, char *words, size_t size)
{
    char delay[64];
    if (!measure_known(&trip->delay_s)) {
        snprintf(words, size, "stopped %.0f s into the readings", trip->at_s);
        return;
    }
    measure_print(&trip->delay_s, "s", delay, sizeof delay);
    snprintf(words, size, "stopped %s after '%s'", delay, trip->stimulus);
}

void rule_charge_temperature(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    struct trip trips[TRIPS];
    enum trip_way way = claim->kind == CLAIM_CHARGE_TEMPERATURE_MIN ? TRIP_COLD : TRIP_HOT;
    size_t record = SIZE_MAX, count = gather(evidence, way, trips, &record);
    if (count == 0) {
        snprintf(decision->reason, sizeof decision->reason, "no charge was stopped by %s in the readings",
                 way == TRIP_COLD ? "cold" : "heat");
        return;
    }
    decision->record = record;
    struct measure degc = trips_pooled(trips, count, true, way, TRIP_DEGC);
    if (!measure_known(&degc)) {
        say_seen(&trips[0], decision->found, sizeof decision->found);
        decision->verdict = VERDICT_NOT_EXERCISED;
        snprintf(decision->reason, sizeof decision->reason, "the protection exists and acted; at which temperature was not measured");
        snprintf(decision->would_decide, sizeof decision->would_decide, "a probe at the sensor, and a slow ramp");
        return;
    }
    rule_hold(evidence, claim, &degc, &no_effect, decision);
    snprintf(decision->reason, sizeof decision->reason,
             "of the probe's place when the charge stopped%s; the lag of the pack's own sensor is not known",
             count > 1 ? ", repeats pooled" : "");
    if (decision->verdict == VERDICT_TOO_CLOSE)
        snprintf(decision->would_decide, sizeof decision->would_decide, "slow ramps in both directions, several times");
}

void rule_yes_no(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    struct trip trips[TRIPS];
    struct span slug = span_of(claim->slug);
    bool stops = span_has_word(slug, "charging") && span_has_word(slug, "stops");
    enum trip_way way = span_has_word(slug, "cold") ? TRIP_COLD : span_has_word(slug, "hot") ? TRIP_HOT : TRIP_UNKNOWN;
    size_t record = SIZE_MAX;
    if (!stops || way == TRIP_UNKNOWN || gather(evidence, way, trips, &record) == 0) {
        rule_noted(evidence, claim, decision);
        return;
    }
    decision->record = record;
    decision->verdict = VERDICT_MET;
    say_seen(&trips[0], decision->found, sizeof decision->found);
    snprintf(decision->reason, sizeof decision->reason, "the terminals behaved as those of a pack that has opened");
}
