/* The account of charges and rests. */
#include "report/account.h"

#include "base/number.h"
#include "battery/trips.h"

/* "20.6 ± 0.2 A for 2:31:40", or why there is none. */
static void add_stretch(struct listing *rows, const char *name, const struct measure *m, const char *symbol, double seconds)
{
    listing_add(rows, "%s", name);
    char words[64], time[32] = "";
    if (!measure_known(m)) {
        listing_add(rows, "cannot tell: %s", m->why);
        return;
    }
    measure_print(m, symbol, words, sizeof words);
    number_print_duration(seconds, time, sizeof time);
    listing_add(rows, isfinite(seconds) && seconds > 0 ? "%s for %s" : "%s", words, time);
}

static void add_end(const struct charging *c, const struct run *run, struct listing *rows)
{
    char volts[64], cell[64], amps[64], it[32] = "";
    listing_add(rows, "Its end");
    measure_print(&c->end_v, "V", volts, sizeof volts);
    measure_print(&c->end_cell_v, "V", cell, sizeof cell);
    measure_print(&c->tail_a, "A", amps, sizeof amps);
    if (measure_known(&c->tail_it))
        snprintf(it, sizeof it, " (%.2g It)", c->tail_it.value);
    listing_add(rows, "%s%s%s%s, %s%s", volts, measure_known(&c->end_cell_v) ? ", " : "",
                measure_known(&c->end_cell_v) ? cell : "", measure_known(&c->end_cell_v) ? " a cell in the mean" : "", amps, it);
    listing_add(rows, "Ended by");
    listing_add(rows, "%s%s%s", ended_by_name(run->ended.by), run->ended.evidence[0] != '\0' ? ": " : "", run->ended.evidence);
}

static void add_charging(const struct findings *f, const struct charging *c, struct listing *rows)
{
    const struct run *run = &f->runs[c->run];
    char ah[64], wh[64];
    measure_print(&run->charge_ah, "Ah", ah, sizeof ah);
    measure_print(&run->energy_wh, "Wh", wh, sizeof wh);
    listing_add(rows, "Charge");
    if (trip_by_sensor(f, c->run) != NULL) {
        listing_add(rows, "%s accepted until the board stopped it: see the protections", ah);
        return;
    }
    listing_add(rows, measure_known(&run->energy_wh) ? "%s and %s accepted" : "%s accepted", ah, wh);
    add_stretch(rows, "At constant current", &c->constant_a, "A", c->constant_to_s - c->constant_from_s);
    add_stretch(rows, "At constant volts", &c->held_v, "V", c->held_to_s - c->held_from_s);
    if (!measure_known(&c->constant_a)) /* else it says as much */
        add_stretch(rows, "Highest current held", &c->highest_a, "A", c->highest_held_s);
    add_end(c, run, rows);
    listing_add(rows, "Full");
    listing_add(rows, "%s: %s", full_shown_name(c->full), c->full_words);
    listing_add(rows, "Balancing");
    listing_add(rows, "%s: %s", balancing_name(c->balancing), c->balancing_words);
}

void account_rests(const struct record *record, struct listing *rows)
{
    const struct findings *f = &record->findings;
    for (size_t k = 0; k < f->resting_count; k++) {
        const struct resting *r = &f->restings[k];
        listing_add(rows, "%s", r->after_charge ? "Rest after the charge" : r->after_discharge ? "Rest after the discharge" : "Rest");
        listing_add(rows, "%s", r->words);
    }
}

void account_charges(const struct record *record, struct listing *rows)
{
    const struct findings *f = &record->findings;
    for (size_t k = 0; k < f->charging_count; k++)
        add_charging(f, &f->chargings[k], rows);
    account_rests(record, rows);
}
