#include "report/terminal.h"

#include "base/number.h"
#include "battery/resistance.h"
#include "battery/trips.h"
#include "claims/claim_names.h"
#include "claims/untested.h"
#include "report/account.h"
#include "report/lines.h"
#include "report/words.h"

static int width_of(const struct terminal_form *form)
{
    return form->width >= 40 ? form->width : 100;
}

static void coloured(const struct terminal_form *form, const char *code, const char *words, struct text *text)
{
    text_addf(text, "%s%s%s", form->colour ? code : "", words, form->colour ? "\033[0m" : "");
}

/* What fails first, then what holds, then what is open: the order in which people ask. */
static const enum verdict verdict_order[] = {VERDICT_NOT_MET, VERDICT_MET, VERDICT_TOO_CLOSE, VERDICT_NOT_EXERCISED,
                                             VERDICT_NOT_TESTED};
enum { VERDICTS = sizeof verdict_order / sizeof *verdict_order };

static const char *style(enum verdict verdict)
{
    switch (verdict) {
    case VERDICT_MET: return "\033[1;36m";
    case VERDICT_NOT_MET: return "\033[1;35m";
    case VERDICT_TOO_CLOSE: return "\033[1m";
    default: return "\033[3m";
    }
}

static void say_counts(const struct assessment *assessment, struct text *text)
{
    const char *gap = "";
    for (int k = 0; k < VERDICTS; k++) {
        size_t count = verdict_count(assessment, verdict_order[k]);
        if (count == 0)
            continue;
        text_addf(text, "%s%zu %s", gap, count, verdict_name(verdict_order[k]));
        gap = ", ";
    }
    text_add(text, "\n");
}

static void claim_line(const struct decision *d, const struct claim_columns *columns, int width, struct text *text)
{
    char probability[32];
    words_probability(d, probability, sizeof probability);
    lines_claim(d->claim->name, d->claim->as_stated, d->found, probability, columns, text);
    if (d->verdict == VERDICT_MET)
        return;
    struct text why = TEXT_EMPTY;
    text_addf(&why, "%s%s%s", d->reason, d->would_decide[0] != '\0' ? ". To decide it: " : "", d->would_decide);
    text_add(text, "    ");
    lines_wrap(text_string(&why), 4, width, text);
    text_free(&why);
}

/* Nothing was done about these: their names are enough. */
static void not_tested_line(const struct assessment *assessment, int width, struct text *text)
{
    struct text names = TEXT_EMPTY;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (d->verdict != VERDICT_NOT_TESTED)
            continue;
        char name[80];
        claim_name_within(d->claim->name, name, sizeof name);
        text_addf(&names, "%s%s", names.length > 0 ? ", " : "", name);
    }
    text_add(text, "  ");
    lines_wrap(text_string(&names), 2, width, text);
    text_free(&names);
}

static void claims_table(const struct assessment *assessment, const struct terminal_form *form, struct text *text)
{
    struct claim_columns columns = {0};
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (d->verdict != VERDICT_NOT_TESTED)
            lines_make_room(d->claim->name, d->claim->as_stated, d->found, &columns);
    }
    lines_fit(width_of(form), &columns);
    for (int v = 0; v < VERDICTS; v++) {
        enum verdict verdict = verdict_order[v];
        if (verdict_count(assessment, verdict) == 0)
            continue;
        text_add(text, "\n");
        coloured(form, style(verdict), verdict_name(verdict), text);
        text_add(text, "\n");
        for (size_t k = 0; k < assessment->decision_count; k++)
            if (assessment->decisions[k].verdict == verdict && verdict != VERDICT_NOT_TESTED)
                claim_line(&assessment->decisions[k], &columns, width_of(form), text);
        if (verdict == VERDICT_NOT_TESTED)
            not_tested_line(assessment, width_of(form), text);
    }
}

static void delivered_rows(const struct findings *f, int width, struct text *text)
{
    char ah[64], wh[64], v[64], line[400], time[48] = "";
    measure_print(&f->test_ah, "Ah", ah, sizeof ah);
    measure_print(&f->test_wh, "Wh", wh, sizeof wh);
    measure_print(&f->test_mean_v, "V", v, sizeof v);
    if (!f->order_only) {
        snprintf(time, sizeof time, " in ");
        number_print_duration(f->test_end_s - f->test_start_s, time + 4, sizeof time - 4);
    }
    if (measure_known(&f->test_wh))
        snprintf(line, sizeof line, "%s and %s%s, at a mean of %s", ah, wh, time, v);
    else
        snprintf(line, sizeof line, "%s%s; energy: cannot tell, %s", ah, time, f->test_wh.why);
    lines_row("delivered", line, width, text);
    if (f->load.words[0] != '\0')
        lines_row("load", f->load.words, width, text);
    const struct run *last = &f->runs[f->test_last_run];
    snprintf(line, sizeof line, "%s: %s", ended_by_name(last->ended.by), last->ended.evidence);
    lines_row("ended", line, width, text);
}

static void rated_row(const struct crossing *c, const char *symbol, int width, struct text *text)
{
    if (isnan(c->rated) || !c->reached)
        return;
    char line[160], time[32];
    number_print_duration(c->at_s.value, time, sizeof time);
    int used = snprintf(line, sizeof line, "%.4g %s passed after %s", c->rated, symbol, time);
    if (!isnan(c->volts))
        snprintf(line + used, sizeof line - (size_t)used, ", at %.2f V", c->volts);
    lines_row("rated", line, width, text);
}

/* The cut-offs asked for in full, the usual ones on the way in a line. */
static void capacity_rows(const struct findings *f, int width, struct text *text)
{
    struct text usual = TEXT_EMPTY;
    for (size_t k = 0; k < f->capacity_count; k++) {
        const struct capacity *c = &f->capacities[k];
        char name[32], ah[64], wh[64], line[160];
        measure_print(&c->charge_ah, "Ah", ah, sizeof ah);
        measure_print(&c->energy_wh, "Wh", wh, sizeof wh);
        if (!c->asked) {
            text_addf(&usual, "%s%.4g V after %s", usual.length > 0 ? ", " : "", c->cut_off_v, ah);
            continue;
        }
        snprintf(name, sizeof name, "to %.4g V", c->cut_off_v);
        snprintf(line, sizeof line, c->reached                        ? "%s, %s"
                                    : measure_known(&f->test_mean_v) ? "not reached"
                                                                     : "cannot tell", ah, wh);
        lines_row(name, line, width, text);
    }
    if (usual.length > 0)
        lines_row("on the way", text_string(&usual), width, text);
    text_free(&usual);
}

static void burst_rows(const struct findings *f, int width, struct text *text)
{
    for (size_t k = 0; k < f->burst_count && k < 3; k++) {
        const struct burst *b = &f->bursts[k];
        char cost[64], time[32], line[500], share[48] = "";
        measure_print(&b->cost_wh, "Wh", cost, sizeof cost);
        if (measure_known(&b->cost_share))
            snprintf(share, sizeof share, ", %.2f %% of the test", 100 * b->cost_share.value);
        number_print_duration(b->end_s - b->start_s, time, sizeof time);
        snprintf(line, sizeof line, "%.4g A for %s cost %s%s (--explain burst)", b->current_a, time, cost, share);
        lines_row("burst", line, width, text);
    }
}

static void tally_rows(const struct findings *f, int width, struct text *text)
{
    const struct tally_check *ah = &f->tally_ah, *wh = &f->tally_wh;
    if (ah->present && ah->agrees && wh->present && wh->agrees) {
        char line[160], charge[64], energy[64];
        number_print(ah->tally.value, ah->tally.u, charge, sizeof charge);
        number_print(wh->tally.value, wh->tally.u, energy, sizeof energy);
        snprintf(line, sizeof line, "the meter's own %s Ah and %s Wh agree (E_n %.1f and %.1f)", charge, energy, ah->e_n, wh->e_n);
        lines_row("tallies", line, width, text);
        return;
    }
    if (ah->present)
        lines_row("tally, Ah", ah->words, width, text);
    if (wh->present)
        lines_row("tally, Wh", wh->words, width, text);
}

/* Departures in full; what is not known in one line. */
static void condition_rows(const struct findings *f, int width, struct text *text)
{
    struct text unknown = TEXT_EMPTY;
    for (int k = 0; k < f->condition_count; k++) {
        const struct condition *c = &f->conditions[k];
        if (!c->known)
            text_addf(&unknown, "%s%s", unknown.length > 0 ? ", " : "", c->name);
        else if (c->departs)
            lines_row(c->name, c->words, width, text);
    }
    if (unknown.length > 0) {
        text_add(&unknown, " (--explain conditions)");
        lines_row("not known", text_string(&unknown), width, text);
    }
    if (f->full_before > 0) /* a departure is told above */
        lines_row("before", f->full_words, width, text);
    text_free(&unknown);
}

static void resistance_row(const struct findings *f, int width, struct text *text)
{
    const struct step *best = resistance_best(f);
    if (best == NULL)
        return;
    struct text line = TEXT_EMPTY;
    for (int k = 0; k < best->resistances; k++) {
        char ohm[64];
        if (!measure_known(&best->resistance[k].ohm))
            continue;
        measure_print_in(&best->resistance[k].ohm, QUANTITY_RESISTANCE, ohm, sizeof ohm);
        text_addf(&line, "%s%s after %.2g s", k > 0 ? ", " : "", ohm, best->resistance[k].delay_s);
    }
    text_addf(&line, " (from %.3g to %.3g A)", best->from_a + 0.0, best->to_a + 0.0); /* no -0 */
    lines_row("resistance", text_string(&line), width, text);
    text_free(&line);
}

static void efficiency_row(const struct findings *f, int width, struct text *text)
{
    if (!measure_known(&f->efficiency_charge) || !(f->efficiency_charge.value > 0))
        return;
    char charge[64], energy[64], line[160];
    measure_print_in(&f->efficiency_charge, QUANTITY_RATIO, charge, sizeof charge);
    measure_print_in(&f->efficiency_energy, QUANTITY_RATIO, energy, sizeof energy);
    snprintf(line, sizeof line, "%s of the charge and %s of the energy, from one end of charge to the same again", charge, energy);
    lines_row("out / in", line, width, text);
}

/* The charges in a line each, and the last rest that says something. */
static void charge_rows(const struct findings *f, int width, struct text *text)
{
    int shown = 0;
    for (size_t k = 0; k < f->charging_count && shown < 3; k++) {
        const struct charging *c = &f->chargings[k];
        if (trip_by_sensor(f, c->run) != NULL)
            continue;
        shown++;
        char ah[64];
        struct text line = TEXT_EMPTY;
        measure_print(&f->runs[c->run].charge_ah, "Ah", ah, sizeof ah);
        text_addf(&line, "%s accepted; %s: %s", ah, full_shown_name(c->full), c->full_words);
        if (f->runs[c->run].ended.by != ENDED_CANNOT_TELL)
            text_addf(&line, "; %s", ended_by_name(f->runs[c->run].ended.by));
        lines_row("charge", text_string(&line), width, text);
        text_free(&line);
    }
    for (size_t k = f->resting_count; k-- > 0;) {
        if (!f->restings[k].after_charge && !f->restings[k].after_discharge)
            continue;
        lines_row("rest", f->restings[k].words, width, text);
        break;
    }
}

/* The highest current that was held each way, those held until it was empty or until the board opened for them, and how warm they made it, where that can
 * be told. */
static void hold_rows(const struct findings *f, int width, struct text *text)
{
    const struct hold *highest[2] = {NULL, NULL};
    for (size_t k = 0; k < f->hold_count; k++) {
        const struct hold **most = &highest[f->holds[k].charging];
        *most = *most == NULL || f->holds[k].a.value > (*most)->a.value ? &f->holds[k] : *most;
    }
    for (size_t k = 0; k < f->hold_count; k++) {
        const struct hold *hold = &f->holds[k];
        char a[64], line[360];
        if (hold != highest[hold->charging] && hold->end != HOLD_EMPTY && (hold->charging || hold->end != HOLD_TRIPPED))
            continue;
        measure_print(&hold->a, "A", a, sizeof a);
        snprintf(line, sizeof line, "%s: %s", a, hold->words);
        lines_row(hold->charging ? "held in" : "held", line, width, text);
        for (size_t w = 0; w < f->warming_count; w++)
            if (f->warmings[w].hold == k && measure_known(&f->warmings[w].final_degc))
                lines_row("warming", f->warmings[w].words, width, text);
    }
}

static void protection_rows(const struct findings *f, int width, struct text *text)
{
    struct listing repeats = listing_of(2);
    for (size_t k = 0; k < f->trip_count; k++)
        if (f->trips[k].way != TRIP_LOW || f->low_stop_count == 0)
            lines_row("stopped", f->trips[k].words, width, text);
    account_repeats(f, &repeats);
    for (size_t k = 0; k < listing_rows(&repeats); k++)
        lines_row("repeats", listing_cell(&repeats, k, 1), width, text);
    listing_free(&repeats);
    for (size_t k = 0; k < f->low_stop_count; k++)
        lines_row("low stop", f->low_stops[k].words, width, text);
    hold_rows(f, width, text);
}

static void record_rows(const struct record *record, const struct terminal_form *form, struct text *text)
{
    const struct findings *f = &record->findings;
    int width = width_of(form);
    text_add(text, "\n");
    coloured(form, "\033[1m", record->path, text);
    text_add(text, "\n");
    if (f->has_test) {
        delivered_rows(f, width, text);
        rated_row(&f->rated_ah, "Ah", width, text);
        rated_row(&f->rated_wh, "Wh", width, text);
        capacity_rows(f, width, text);
    } else {
        lines_row("", "holds no discharge", width, text);
    }
    resistance_row(f, width, text);
    burst_rows(f, width, text);
    tally_rows(f, width, text);
    charge_rows(f, width, text);
    protection_rows(f, width, text);
    efficiency_row(f, width, text);
    if (f->has_test)
        condition_rows(f, width, text);
}

/* Several logs: each against the first, and the rate exponent. */
static void across_rows(const struct assessment *assessment, int width, struct text *text)
{
    for (size_t k = 0; k < assessment->comparison_count; k++) {
        const struct comparison *c = &assessment->comparisons[k];
        char line[400], ah[64], wh[64];
        measure_print(&c->charge_ah.value, "Ah", ah, sizeof ah);
        measure_print(&c->energy_wh.value, "Wh", wh, sizeof wh);
        snprintf(line, sizeof line, "%s less %s: %s, %s", account_file(assessment->records[c->second].path),
                 account_file(assessment->records[c->first].path), ah, wh);
        lines_row(k == 0 ? "difference" : "", line, width, text);
    }
    if (assessment->peukert.words[0] != '\0')
        lines_row("rate", assessment->peukert.words, width, text);
}

/* `of`: the log, where there are several; "" otherwise. */
static void notice_rows(const struct notices *notices, const char *of, int width, struct text *text)
{
    for (size_t k = 0; k < notices->count; k++) {
        struct text line = TEXT_EMPTY;
        text_addf(&line, "%s%s%s", of, of[0] != '\0' ? ": " : "", notices->items[k].text);
        text_add(text, "  • ");
        lines_wrap(text_string(&line), 4, width, text);
        text_free(&line);
    }
}

static void all_notices(const struct assessment *assessment, const struct terminal_form *form, struct text *text)
{
    struct text rows = TEXT_EMPTY;
    notice_rows(&assessment->notices, "", width_of(form), &rows);
    for (size_t k = 0; k < assessment->record_count; k++) {
        const struct record *record = &assessment->records[k];
        if (!record->by_eye)
            notice_rows(&record->log.notices, assessment->record_count > 1 ? account_file(record->path) : "", width_of(form),
                        &rows);
    }
    if (rows.length > 0) {
        text_add(text, "\n");
        coloured(form, "\033[1m", "Mind", text);
        text_addf(text, "\n%s", rows.s);
    }
    text_free(&rows);
}

static void contradictions(const struct assessment *assessment, const struct terminal_form *form, struct text *text)
{
    for (size_t k = 0; k < assessment->contradiction_count; k++) {
        if (k == 0)
            coloured(form, "\033[1m", "\nwhat does not go together\n", text);
        text_add(text, "  ");
        lines_wrap(assessment->contradictions[k].words, 2, width_of(form), text);
    }
}

static void opened_rows(const struct assessment *assessment, const struct terminal_form *form, struct text *text)
{
    if (!assessment->has_opened)
        return;
    struct listing rows = listing_of(2);
    account_opened_brief(&assessment->inspection, &rows);
    coloured(form, "\033[1m", "\nopened", text);
    text_addf(text, "%s%s\n", assessment->opened.date[0] != '\0' ? " " : "", assessment->opened.date);
    lines_listing(&rows, width_of(form), text);
    listing_free(&rows);
}

/* What nothing was seen of, beside the claims. */
static void untested(const struct assessment *assessment, const struct terminal_form *form, struct text *text)
{
    struct text words = TEXT_EMPTY;
    untested_say(assessment, &words);
    if (words.length > 0) {
        text_add(text, "\n");
        lines_wrap(text_string(&words), 0, width_of(form), text);
    }
    text_free(&words);
}

void terminal_assessment(const struct assessment *assessment, const struct terminal_form *form, struct text *text)
{
    if (assessment->has_label) {
        coloured(form, "\033[1m", assessment->label.sample, text);
        text_add(text, ": ");
        say_counts(assessment, text);
    } else {
        text_add(text, "No claims given (--label FILE): findings only.\n");
    }
    if (assessment->invented)
        text_add(text, "INVENTED DATA\n");
    contradictions(assessment, form, text);
    claims_table(assessment, form, text);
    if (assessment->opinion != NULL) {
        coloured(form, "\033[1m", "\nthe tester's opinion\n", text);
        text_add(text, "  ");
        lines_wrap(assessment->opinion, 2, width_of(form), text);
    }
    for (size_t k = 0; k < assessment->record_count; k++)
        record_rows(&assessment->records[k], form, text);
    if (assessment->record_count > 1) {
        text_add(text, "\n");
        coloured(form, "\033[1m", "together", text);
        text_add(text, "\n");
        across_rows(assessment, width_of(form), text);
    }
    opened_rows(assessment, form, text);
    untested(assessment, form, text);
    all_notices(assessment, form, text);
    text_add(text, "\n");
    lines_wrap(assessment->has_label ? "One sample is one sample. `--explain NAME` shows how a number came about, `--reply CLAIM` "
                                       "what stands against it."
                                     : "`--explain NAME` shows how a number came about (rundown assess --help).",
               0, width_of(form), text);
}

static void say_columns(const struct log *log, struct text *text)
{
    struct text unused = TEXT_EMPTY;
    for (size_t k = 0; k < log->column_count; k++) {
        const struct column_choice *c = &log->columns[k];
        struct text *into = c->role == COLUMN_UNUSED ? &unused : text;
        if (c->role == COLUMN_UNUSED)
            text_addf(into, "%s%d", into->length > 0 ? ", " : "", c->number);
        else
            text_addf(into, "  column %d", c->number);
        if (c->header[0] != '\0')
            text_addf(into, " '%s'", c->header);
        if (c->role != COLUMN_UNUSED)
            text_addf(into, ": %s\n", c->why);
    }
    if (unused.length > 0)
        text_addf(text, "  not used: %s\n", unused.s);
    text_free(&unused);
}

void terminal_columns(const struct assessment *assessment, bool all, struct text *text)
{
    for (size_t r = 0; r < assessment->record_count; r++) {
        const struct record *record = &assessment->records[r];
        if (record->by_eye) {
            text_addf(text, "%s: %zu instants read by eye\n", record->path, record->sightings.count);
            continue;
        }
        const struct log *log = &record->log;
        text_addf(text, "%s: %zu readings", record->path, log->series.count);
        if (log->missing_cells > 0)
            text_addf(text, ", %zu cells without a value", log->missing_cells);
        if (log->bad_count > 0)
            text_addf(text, ", %zu rows left out", log->bad_count);
        text_add(text, "\n");
        say_columns(log, text);
        text_addf(text, "  current: %s\n", record->direction.why);
        size_t listed = log->bad_count < LOG_BAD_ROWS_LISTED ? log->bad_count : LOG_BAD_ROWS_LISTED;
        for (size_t k = 0; k < listed && (all || k == 0); k++)
            text_addf(text, "  left out: line %ld, '%s': %s\n", log->bad[k].line, log->bad[k].text, log->bad[k].why);
        if (!all && log->bad_count > 1)
            text_add(text, "  (--columns lists them all)\n");
    }
}
