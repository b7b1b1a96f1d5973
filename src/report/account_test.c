/* The account of one record: how its test went. */
#include "report/account.h"

#include "base/number.h"
#include "draw/paper.h"

#include <ctype.h>

static void add(struct listing *rows, const char *name, const char *words)
{
    if (words[0] == '\0')
        return;
    listing_add(rows, "%s", name);
    listing_add(rows, "%s", words);
}

static void add_measure(struct listing *rows, const char *name, const struct measure *measure, const char *symbol,
                        const char *more)
{
    char value[64];
    measure_print(measure, symbol, value, sizeof value);
    listing_add(rows, "%s", name);
    if (measure_known(measure))
        listing_add(rows, "%s%s", value, more);
    else
        listing_add(rows, "cannot tell: %s", measure->why);
}

static void add_delivered(const struct findings *f, struct listing *rows)
{
    char ah[64], wh[64], time[32];
    measure_print(&f->test_ah, "Ah", ah, sizeof ah);
    measure_print(&f->test_wh, "Wh", wh, sizeof wh);
    number_print_duration(f->test_end_s - f->test_start_s, time, sizeof time);
    listing_add(rows, "Delivered");
    listing_add(rows, PAPER_STRONG "%s" PAPER_PLAIN ", " PAPER_STRONG "%s" PAPER_PLAIN "%s%s", ah, wh,
                f->order_only ? "" : " in ", f->order_only ? "" : time);
    add_measure(rows, "Mean volts", &f->test_mean_v, "V", ", energy over charge");
    add(rows, "Load", f->load.words);
}

static void add_rated(const char *name, const char *symbol, const struct crossing *c, struct listing *rows)
{
    if (isnan(c->rated))
        return;
    char time[32];
    number_print_duration(c->at_s.value, time, sizeof time);
    listing_add(rows, "%s", name);
    if (!c->reached)
        listing_add(rows, "%.4g %s not reached", c->rated, symbol);
    else if (measure_known(&c->at_s) && isfinite(c->volts))
        listing_add(rows, "%.4g %s passed at %s, at %.2f V", c->rated, symbol, time, c->volts);
    else if (measure_known(&c->at_s))
        listing_add(rows, "%.4g %s passed at %s", c->rated, symbol, time);
    else
        listing_add(rows, "%.4g %s passed", c->rated, symbol);
}

static void add_end(const struct run *last, struct listing *rows)
{
    const struct ending *end = &last->ended;
    listing_add(rows, "How it ended");
    listing_add(rows, PAPER_STRONG "%s" PAPER_PLAIN "%s%s", ended_by_name(end->by), end->evidence[0] != '\0' ? ": " : "",
                end->evidence);
    char cell[96] = "";
    if (isfinite(end->end_cell_v))
        snprintf(cell, sizeof cell, "; %.3f V a cell in the mean (the weakest was not seen)", end->end_cell_v);
    add_measure(rows, "Volts at the end", &end->end_v, "V", cell);
    if (isfinite(end->recovery_v)) {
        char time[32];
        number_print_duration(end->recovery_after_s, time, sizeof time);
        listing_add(rows, "Recovery");
        listing_add(rows, "up to %.2f V, %s after the load went%s", end->recovery_v, time,
                    end->dark ? "; the meter was dark for a while" : "");
    } else if (end->dark) {
        add(rows, "Recovery", "none seen: the meter was dark");
    }
    if (isfinite(end->knee_minutes) && strstr(end->evidence, "knee") == NULL) {
        listing_add(rows, "Knee");
        listing_add(rows, "%.1f minutes before the end", end->knee_minutes);
    }
}

static void add_temperature(const struct findings *f, struct listing *rows)
{
    double low = INFINITY, high = -INFINITY;
    for (size_t k = f->test_first_run; k <= f->test_last_run; k++)
        low = fmin(low, f->runs[k].degc_min), high = fmax(high, f->runs[k].degc_max);
    if (!isfinite(f->test_degc))
        return;
    listing_add(rows, "Temperature");
    if (isfinite(low) && isfinite(high))
        listing_add(rows, "%.1f °C in the mean, %.1f to %.1f °C", f->test_degc, low, high);
    else
        listing_add(rows, "%.1f °C in the mean", f->test_degc);
}

static void add_share(const char *name, const struct measure *share, struct listing *rows)
{
    if (!measure_known(share) || !(share->value > 0))
        return;
    listing_add(rows, "%s", name);
    char words[64];
    measure_print_in(share, QUANTITY_RATIO, words, sizeof words);
    listing_add(rows, "%s", words);
}

void account_test(const struct record *record, struct listing *rows)
{
    const struct findings *f = &record->findings;
    if (!f->has_test) {
        add(rows, "Discharge", "the readings hold none");
        return;
    }
    add_delivered(f, rows);
    add_rated("Rated charge", "Ah", &f->rated_ah, rows);
    add_rated("Rated energy", "Wh", &f->rated_wh, rows);
    add_end(&f->runs[f->test_last_run], rows);
    add_temperature(f, rows);
    if (f->condition_count == 0) /* they tell it too */
        add(rows, "Full before", f->full_words);
    add_share("Charge out / in", &f->efficiency_charge, rows);
    add_share("Energy out / in", &f->efficiency_energy, rows);
    if (measure_known(&f->wake_ah) && f->wake_ah.value != 0)
        add_measure(rows, "Pushed in to wake it", &f->wake_ah, "Ah", "; not in the test");
}

void account_bursts(const struct findings *f, bool brief, struct listing *rows)
{
    for (size_t k = 0; k < f->burst_count; k++) {
        const struct burst *b = &f->bursts[k];
        struct text words = TEXT_EMPTY;
        char time[32], cost[64], share[64];
        number_print_duration(b->end_s - b->start_s, time, sizeof time);
        measure_print(&b->cost_wh, "Wh", cost, sizeof cost);
        measure_print_in(&b->cost_share, QUANTITY_RATIO, share, sizeof share);
        text_addf(&words, "%.4g A for %s over a base of %.4g A", b->current_a, time, b->base_a);
        if (isfinite(b->sag_v))
            text_addf(&words, ", %.2f V lower at its end", b->sag_v);
        if (!measure_known(&b->cost_wh))
            text_addf(&words, ". Cost: cannot tell: %s", b->cost_wh.why);
        else
            text_addf(&words, ". Cost " PAPER_STRONG "%s" PAPER_PLAIN, cost);
        if (measure_known(&b->cost_share))
            text_addf(&words, ", %s of the test's", share);
        if (isfinite(b->check_wh))
            text_addf(&words, "; Q·R·ΔI beside it %.3g Wh", b->check_wh);
        if (brief && isfinite(b->charge_bound_ah))
            text_addf(&words, "; in charge at most %.2g Ah", b->charge_bound_ah);
        else if (b->charge_bound[0] != '\0')
            text_addf(&words, ". In charge: %s", b->charge_bound);
        listing_add(rows, f->burst_count > 1 ? "Burst %zu" : "Burst", k + 1);
        listing_add(rows, "%s", text_string(&words));
        text_free(&words);
    }
}

static void add_tally(const char *symbol, const struct tally_check *tally, struct text *words)
{
    if (!tally->present)
        return;
    char value[64];
    measure_print(&tally->tally, symbol, value, sizeof value);
    text_addf(words, "%s%s", words->length > 0 ? "; " : "", value);
    if (measure_known(&tally->tally) && measure_known(&tally->integral))
        text_addf(words, ", %+.2f %% beside the integral", 100 * (tally->tally.value / tally->integral.value - 1));
    if (isfinite(tally->e_n))
        text_addf(words, ": %s, E_n %.2f", tally->agrees ? "agrees" : "disagrees", tally->e_n);
}

void account_tallies(const struct findings *f, struct listing *rows)
{
    struct text words = TEXT_EMPTY;
    add_tally("Ah", &f->tally_ah, &words);
    add_tally("Wh", &f->tally_wh, &words);
    if (words.length == 0)
        return;
    text_add(&words, f->tally_ah.froze || f->tally_wh.froze ? "; it stood still when the meter went dark" : "");
    text_add(&words, f->tally_ah.reset || f->tally_wh.reset ? "; it was reset on the way" : "");
    listing_add(rows, "Meter's tally");
    listing_add(rows, "%s", text_string(&words));
    text_free(&words);
}

void account_cut_offs(const struct findings *f, struct listing *rows)
{
    for (size_t k = 0; k < f->capacity_count; k++) {
        const struct capacity *c = &f->capacities[k];
        char ah[64], wh[64], time[32];
        listing_add(rows, "%.4g V%s", c->cut_off_v, c->asked ? ", asked for" : "");
        if (!c->reached) {
            listing_add(rows, measure_known(&f->test_mean_v) ? "not reached" : "cannot tell");
            listing_add(rows, "%s", "");
            listing_add(rows, "%s", "");
            continue;
        }
        measure_print(&c->charge_ah, "", ah, sizeof ah);
        measure_print(&c->energy_wh, "", wh, sizeof wh);
        number_print_duration(c->at_s - f->test_start_s, time, sizeof time);
        listing_add(rows, "%s", ah);
        listing_add(rows, "%s", wh);
        listing_add(rows, "%s", isfinite(c->at_s) ? time : "");
    }
}

static double change(const struct step *step)
{
    return fabs(step->to_a - step->from_a);
}

static bool says_something(const struct step *step)
{
    for (int k = 0; k < step->resistances; k++)
        if (measure_known(&step->resistance[k].ohm))
            return true;
    return false;
}

/* Among the `most` largest changes of those that say something? Of equal ones the earlier. */
static bool is_chosen(const struct findings *f, size_t at, size_t most)
{
    size_t larger = 0;
    for (size_t k = 0; k < f->step_count; k++) {
        if (k == at || !says_something(&f->steps[k]))
            continue;
        double more = change(&f->steps[k]) - change(&f->steps[at]);
        larger += k < at ? more >= 0 : more > 0;
    }
    return larger < most;
}

/* Without its unit, which stands in the heading. */
static void print_shown(const struct measure *ohm, char *buffer, size_t size)
{
    double factor;
    quantity_shown(QUANTITY_RESISTANCE, &factor);
    struct measure shown = *ohm;
    shown.value *= factor, shown.lo *= factor, shown.hi *= factor;
    measure_print(&shown, "", buffer, size);
}

static void add_step(const struct step *step, struct listing *rows)
{
    static const double delays[] = {1, 10, 30};
    char at[32], found[4][64] = {"", "", "", ""};
    number_print_duration(step->at_s, at, sizeof at);
    listing_add(rows, "%s\n%.3g→%.3g A", at, step->from_a + 0.0, step->to_a + 0.0); /* never −0 */
    for (int k = 0; k < step->resistances; k++) {
        const struct resistance *r = &step->resistance[k];
        int place = 0;
        for (int d = 0; d < 3; d++)
            if (fabs(r->delay_s - delays[d]) < 1e-9)
                place = d + 1;
        if (!measure_known(&r->ohm))
            continue;
        print_shown(&r->ohm, found[place], sizeof found[place]);
    }
    for (int k = 0; k < 4; k++)
        listing_add(rows, "%s", found[k]);
}

size_t account_resistances(const struct findings *f, size_t most, struct listing *rows)
{
    size_t left_out = 0;
    for (size_t k = 0; k < f->step_count; k++) {
        if (!says_something(&f->steps[k]))
            continue;
        if (is_chosen(f, k, most))
            add_step(&f->steps[k], rows);
        else
            left_out++;
    }
    return left_out;
}

void account_pulse_pairs(const struct findings *f, struct listing *rows)
{
    for (size_t k = 0; k < f->pair_count; k++) {
        const struct pulse_pair *p = &f->pairs[k];
        char at[32], ohm[64];
        number_print_duration(p->at_s, at, sizeof at);
        measure_print_in(&p->ohm, QUANTITY_RESISTANCE, ohm, sizeof ohm);
        listing_add(rows, "%s", at);
        listing_add(rows, "%.4g A, then %.4g A", p->i1_a, p->i2_a);
        listing_add(rows, "%s%s%s", ohm, p->deviation[0] != '\0' ? "; " : "", p->deviation);
    }
}

void account_conditions(const struct findings *f, struct listing *rows)
{
    for (int k = 0; k < f->condition_count; k++) {
        const struct condition *c = &f->conditions[k];
        listing_add(rows, "%c%s", toupper((unsigned char)c->name[0]), c->name + 1);
        listing_add(rows, "%s", c->was);
        listing_add(rows, "%s", c->asked_for);
        listing_add(rows, "%s", c->words);
    }
}

void account_runs(const struct findings *f, struct listing *rows)
{
    for (size_t k = 0; k < f->run_count; k++) {
        const struct run *run = &f->runs[k];
        char start[32], end[32], ah[64], wh[64], v[64];
        number_print_duration(run->start_s, start, sizeof start);
        number_print_duration(run->end_s, end, sizeof end);
        measure_print(&run->charge_ah, "Ah", ah, sizeof ah);
        measure_print(&run->energy_wh, "Wh", wh, sizeof wh);
        measure_print(&run->mean_v, "V", v, sizeof v);
        listing_add(rows, "%s", run_kind_name(run->kind));
        listing_add(rows, "%s", isfinite(run->start_s) ? start : "");
        listing_add(rows, "%s", isfinite(run->end_s) ? end : "");
        listing_add(rows, "%s", run->kind == RUN_REST ? "" : ah);
        listing_add(rows, "%s", run->kind == RUN_REST ? "" : wh);
        listing_add(rows, "%s", v);
        listing_add(rows, "%s", ended_by_name(run->ended.by));
    }
}
