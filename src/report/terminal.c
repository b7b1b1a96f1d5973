#include "report/terminal.h"

#include "base/number.h"
#include "report/words.h"

static int width_of(const struct terminal_form *form)
{
    return form->width >= 40 ? form->width : 100;
}

static void spaces(struct text *text, int count)
{
    for (int k = 0; k < count; k++)
        text_add(text, " ");
}

static void pad(struct text *text, const char *s, int width)
{
    text_add(text, s);
    spaces(text, width - (int)text_width(s));
}

void terminal_wrap(const char *words, int indent, int width, struct text *text)
{
    int at = indent;
    const char *p = words;
    while (*p != '\0') {
        size_t n = strcspn(p, " ");
        char word[128];
        span_copy((struct span){p, n}, word, sizeof word);
        int length = (int)text_width(word);
        if (at > indent && at + 1 + length > width) {
            text_add(text, "\n");
            spaces(text, indent);
            at = indent;
        }
        if (at > indent) {
            text_add(text, " ");
            at++;
        }
        text_add_bytes(text, p, n);
        at += length;
        p += n;
        while (*p == ' ')
            p++;
    }
    text_add(text, "\n");
}

static const char *style(const struct terminal_form *form, enum verdict verdict)
{
    if (!form->colour)
        return "";
    switch (verdict) {
    case VERDICT_MET: return "\033[1;36m";
    case VERDICT_NOT_MET: return "\033[1;35m";
    case VERDICT_TOO_CLOSE: return "\033[1m";
    default: return "\033[3m";
    }
}

static void claim_line(const struct decision *d, const struct terminal_form *form, int name_width, struct text *text)
{
    char probability[32] = "";
    if (!isnan(d->probability) && d->verdict != VERDICT_NOT_EXERCISED)
        words_probability(d->probability, probability, sizeof probability);
    text_add(text, "  ");
    pad(text, d->claim->name, name_width);
    char stated[32];
    span_copy(span_of(d->claim->as_stated), stated, sizeof stated);
    if (strlen(d->claim->as_stated) >= sizeof stated)
        snprintf(stated + sizeof stated - 5, 5, "…");
    pad(text, stated, 32);
    pad(text, d->found[0] != '\0' ? d->found : "–", 36);
    text_add(text, style(form, d->verdict));
    pad(text, verdict_name(d->verdict), 18);
    text_add(text, form->colour ? "\033[0m" : "");
    text_addf(text, "%s\n", probability);
    if (d->verdict == VERDICT_MET || d->verdict == VERDICT_NOT_TESTED)
        return;
    char why[700];
    snprintf(why, sizeof why, "%s%s%s", d->reason, d->would_decide[0] != '\0' ? "; would decide it: " : "", d->would_decide);
    spaces(text, 2 + name_width);
    terminal_wrap(why, 2 + name_width, width_of(form), text);
}

static void claims_table(const struct assessment *assessment, const struct terminal_form *form, struct text *text)
{
    int name_width = 8;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        int width = (int)text_width(assessment->decisions[k].claim->name) + 2;
        name_width = width > name_width ? width : name_width;
    }
    text_add(text, "\n  ");
    pad(text, "claim", name_width);
    text_add(text, "stated                          found                               verdict\n");
    for (size_t k = 0; k < assessment->decision_count; k++)
        claim_line(&assessment->decisions[k], form, name_width, text);
}

static void row(struct text *text, const char *name, const char *words, int width)
{
    text_add(text, "  ");
    pad(text, name, 14);
    terminal_wrap(words, 16, width, text);
}

static void amounts_rows(const struct findings *f, int width, struct text *text)
{
    char ah[64], wh[64], v[64], line[400], time[32];
    measure_print(&f->test_ah, "Ah", ah, sizeof ah);
    measure_print(&f->test_wh, "Wh", wh, sizeof wh);
    measure_print(&f->test_mean_v, "V", v, sizeof v);
    number_print_duration(f->test_end_s - f->test_start_s, time, sizeof time);
    if (f->order_only)
        snprintf(line, sizeof line, "%s, %s, mean %s", ah, wh, v);
    else
        snprintf(line, sizeof line, "%s, %s in %s, mean %s", ah, wh, time, v);
    row(text, "delivered", line, width);
    if (f->load.words[0] != '\0')
        row(text, "load", f->load.words, width);
    const struct run *last = &f->runs[f->test_last_run];
    snprintf(line, sizeof line, "%s: %s", ended_by_name(last->ended.by), last->ended.evidence);
    row(text, "ended", line, width);
}

static void rated_row(const char *name, const char *symbol, const struct crossing *c, int width, struct text *text)
{
    if (isnan(c->rated) || !c->reached)
        return;
    char line[160], time[32];
    number_print_duration(c->at_s.value, time, sizeof time);
    snprintf(line, sizeof line, "%.4g %s passed at %s, at %.2f V", c->rated, symbol, time, c->volts);
    row(text, name, line, width);
}

static void capacity_rows(const struct findings *f, int width, struct text *text)
{
    for (size_t k = 0; k < f->capacity_count; k++) {
        const struct capacity *c = &f->capacities[k];
        char name[32], ah[64], wh[64], line[160];
        snprintf(name, sizeof name, "to %.4g V", c->cut_off_v);
        measure_print(&c->charge_ah, "Ah", ah, sizeof ah);
        measure_print(&c->energy_wh, "Wh", wh, sizeof wh);
        if (c->reached)
            snprintf(line, sizeof line, "%s, %s", ah, wh);
        else
            snprintf(line, sizeof line, "not reached");
        row(text, name, line, width);
    }
}

static void burst_rows(const struct findings *f, int width, struct text *text)
{
    for (size_t k = 0; k < f->burst_count && k < 3; k++) {
        const struct burst *b = &f->bursts[k];
        char cost[64], time[32], line[500], share[48] = "";
        measure_print(&b->cost_wh, "Wh", cost, sizeof cost);
        if (measure_known(&b->cost_share))
            snprintf(share, sizeof share, " (%.2f %% of the test)", 100 * b->cost_share.value);
        number_print_duration(b->end_s - b->start_s, time, sizeof time);
        snprintf(line, sizeof line, "%.4g A for %s cost %s%s; %s", b->current_a, time, cost, share, b->charge_bound);
        row(text, "burst", line, width);
    }
}

static void tally_row(const char *name, const struct tally_check *tally, int width, struct text *text)
{
    if (tally->present)
        row(text, name, tally->words, width);
}

static void condition_rows(const struct findings *f, int width, struct text *text)
{
    for (int k = 0; k < f->condition_count; k++) {
        const struct condition *c = &f->conditions[k];
        char name[40];
        snprintf(name, sizeof name, "%s", k == 0 ? "conditions" : "");
        if (c->departs || !c->known)
            row(text, name, c->words, width);
    }
}

static void best_resistance(const struct findings *f, int width, struct text *text)
{
    const struct step *best = NULL;
    for (size_t k = 0; k < f->step_count; k++) {
        const struct step *s = &f->steps[k];
        if (s->resistances == 0 || !measure_known(&s->resistance[0].ohm))
            continue;
        if (best == NULL || fabs(s->to_a - s->from_a) > fabs(best->to_a - best->from_a))
            best = s;
    }
    if (best == NULL)
        return;
    struct text line = TEXT_EMPTY;
    text_addf(&line, "%.4g to %.4g A: ", best->from_a, best->to_a);
    for (int k = 0; k < best->resistances; k++) {
        char ohm[64];
        if (!measure_known(&best->resistance[k].ohm))
            continue;
        measure_print_in(&best->resistance[k].ohm, QUANTITY_RESISTANCE, ohm, sizeof ohm);
        text_addf(&line, "%s%s after %.3g s", k > 0 ? ", " : "", ohm, best->resistance[k].delay_s);
    }
    row(text, "resistance", text_string(&line), width);
    text_free(&line);
}

static void record_rows(const struct record *record, int width, struct text *text)
{
    const struct findings *f = &record->findings;
    text_addf(text, "\n  %s\n", record->path);
    if (!f->has_test) {
        row(text, "", "holds no discharge", width);
        return;
    }
    amounts_rows(f, width, text);
    rated_row("rated charge", "Ah", &f->rated_ah, width, text);
    rated_row("rated energy", "Wh", &f->rated_wh, width, text);
    capacity_rows(f, width, text);
    best_resistance(f, width, text);
    burst_rows(f, width, text);
    tally_row("meter's Ah", &f->tally_ah, width, text);
    tally_row("meter's Wh", &f->tally_wh, width, text);
    condition_rows(f, width, text);
    row(text, "before", f->full_words, width);
}

static void comparison_rows(const struct assessment *assessment, int width, struct text *text)
{
    for (size_t k = 0; k < assessment->comparison_count; k++) {
        const struct comparison *c = &assessment->comparisons[k];
        char line[1400];
        snprintf(line, sizeof line, "%s against %s: %s; %s", assessment->records[c->second].path,
                 assessment->records[c->first].path, c->charge_ah.words, c->energy_wh.words);
        row(text, k == 0 ? "compared" : "", line, width);
    }
}

static void notice_rows(const struct notices *notices, int width, struct text *text)
{
    for (size_t k = 0; k < notices->count; k++) {
        text_add(text, "  • ");
        terminal_wrap(notices->items[k].text, 4, width, text);
    }
}

void terminal_assessment(const struct assessment *assessment, const struct terminal_form *form, struct text *text)
{
    int width = width_of(form);
    if (assessment->has_label)
        text_addf(text, "%s%s%s\n", form->colour ? "\033[1m" : "", assessment->label.sample,
                  form->colour ? "\033[0m" : "");
    if (assessment->invented)
        text_add(text, "INVENTED DATA\n");
    terminal_wrap(assessment->summary, 0, width, text);
    if (assessment->decision_count > 0)
        claims_table(assessment, form, text);
    for (size_t k = 0; k < assessment->record_count; k++)
        record_rows(&assessment->records[k], width, text);
    comparison_rows(assessment, width, text);
    if (assessment->peukert.words[0] != '\0' && assessment->record_count > 1)
        row(text, "rate", assessment->peukert.words, width);
    text_add(text, "\n");
    notice_rows(&assessment->notices, width, text);
    for (size_t k = 0; k < assessment->record_count; k++)
        if (!assessment->records[k].by_eye)
            notice_rows(&assessment->records[k].log.notices, width, text);
}

void terminal_columns(const struct assessment *assessment, struct text *text)
{
    for (size_t r = 0; r < assessment->record_count; r++) {
        const struct record *record = &assessment->records[r];
        if (record->by_eye)
            continue;
        text_addf(text, "%s: %zu readings", record->path, record->log.series.count);
        if (record->log.bad_count > 0)
            text_addf(text, ", %zu rows left out (first at line %ld: %s)", record->log.bad_count,
                      record->log.bad[0].line, record->log.bad[0].why);
        if (record->log.missing_cells > 0)
            text_addf(text, ", %zu cells without a value", record->log.missing_cells);
        text_add(text, "\n");
        for (size_t k = 0; k < record->log.column_count; k++) {
            const struct column_choice *c = &record->log.columns[k];
            text_addf(text, "  column %d", c->number);
            if (c->header[0] != '\0')
                text_addf(text, " '%s'", c->header);
            text_addf(text, ": %s\n", c->why);
        }
        text_addf(text, "  current: %s\n", record->direction.why);
    }
}
