#include "report/account.h"
#include "report/html.h"
#include "report/page_parts.h"

#include "base/number.h"
#include "intake/headers.h"

static void add_columns(struct text *html, const struct log *log)
{
    static const char *const heads[] = {">Column", "Header", "Taken for", "Unit", "Why"};
    struct listing rows = listing_of(5);
    for (size_t k = 0; k < log->column_count; k++) {
        const struct column_choice *c = &log->columns[k];
        listing_add(&rows, "%d", c->number);
        listing_add(&rows, "%s", c->header);
        listing_add(&rows, "%s", role_name(c->role, c->channel));
        listing_add(&rows, "%s", c->unit);
        listing_add(&rows, "%s", c->why);
    }
    text_add(html, "<details><summary>What each column was taken for</summary>\n");
    html_table(html, "Columns of the file", heads, &rows);
    text_add(html, "</details>\n");
    listing_free(&rows);
}

static void add_left_out(struct text *html, const struct log *log)
{
    static const char *const heads[] = {">Line", ">Column", "=As it stands", "Why it was left out"};
    struct listing rows = listing_of(4);
    char caption[120];
    size_t listed = log->bad_count < LOG_BAD_ROWS_LISTED ? log->bad_count : LOG_BAD_ROWS_LISTED;
    for (size_t k = 0; k < listed; k++) {
        const struct bad_row *bad = &log->bad[k];
        listing_add(&rows, "%ld", bad->line);
        if (bad->column > 0)
            listing_add(&rows, "%d", bad->column);
        else
            listing_add(&rows, "whole row");
        listing_add(&rows, "%s", bad->text);
        listing_add(&rows, "%s", bad->why != NULL ? bad->why : "");
    }
    snprintf(caption, sizeof caption, listed < log->bad_count ? "Rows left out: the first %zu of %zu" : "Rows left out: %zu",
             listed, log->bad_count);
    html_table(html, caption, heads, &rows);
    listing_free(&rows);
}

static void add_log(struct text *html, const struct record *record)
{
    const struct log *log = &record->log;
    struct listing rows = listing_of(2);
    listing_add(&rows, "Readings");
    listing_add(&rows, "%zu, from line %ld on, one every %.3g s in the median", log->series.count, log->first_line,
                record->findings.period_s);
    listing_add(&rows, "Left out");
    listing_add(&rows, "%zu rows; %zu cells without a value; %zu rows put into the order of time", log->bad_count,
                log->missing_cells, log->out_of_order);
    listing_add(&rows, "Current");
    listing_add(&rows, "%s in the log; %s", record->direction.sign < 0 ? "counted positive on charge" : "counted positive on discharge",
                record->direction.why);
    html_pairs(html, &rows);
    listing_free(&rows);
    add_columns(html, log);
    add_left_out(html, log);
}

/* With as many decimals as were typed. */
static void add_value(struct text *words, const struct sighted *s)
{
    int decimals = s->digit > 0 && s->digit < 1 ? (int)lround(-log10(s->digit)) : 0;
    const char *symbol = channel_symbol(s->channel);
    decimals = decimals > 9 ? 9 : decimals;
    text_add(words, words->length > 0 ? ", " : "");
    if (isinf(s->lo) && isinf(s->hi))
        text_addf(words, "? %s", symbol);
    else if (isinf(s->hi))
        text_addf(words, "at least %.*f %s", decimals, s->lo, symbol);
    else if (isinf(s->lo))
        text_addf(words, "at most %.*f %s", decimals, s->hi, symbol);
    else if (s->hedged)
        text_addf(words, "%.*f to %.*f %s", decimals, s->lo, decimals, s->hi, symbol);
    else
        text_addf(words, "%.*f %s", decimals, s->value, symbol);
}

static void add_sightings(struct text *html, const struct sightings *sightings)
{
    static const char *const heads[] = {">Line", ">Time", "Read", "How", "Mark"};
    struct listing rows = listing_of(5);
    for (size_t k = 0; k < sightings->count; k++) {
        const struct instant *instant = &sightings->instants[k];
        struct text words = TEXT_EMPTY;
        char time[32] = "in order";
        for (size_t j = 0; j < instant->count; j++)
            add_value(&words, &instant->values[j]);
        if (isfinite(instant->t_s))
            number_print_duration(instant->t_s, time, sizeof time);
        listing_add(&rows, "%ld", instant->line);
        listing_add(&rows, "%s", time);
        listing_add(&rows, "%s", text_string(&words));
        listing_add(&rows, "%s", instant->count > 0 ? had_name(instant->values[0].had) : "");
        listing_add(&rows, "%s", instant->words != NULL ? instant->words : "");
        text_free(&words);
    }
    html_table(html, "Readings taken by eye, as typed", heads, &rows);
    listing_free(&rows);
}

static void add_rig(struct text *html, const struct rig *rig)
{
    static const char *const heads[] = {"Channel", "Accuracy as printed", "Where from"};
    struct listing rows = listing_of(3);
    for (int k = 0; k < CHANNELS; k++) {
        const struct accuracy *a = &rig->of[k];
        if (a->as_printed[0] == '\0')
            continue;
        listing_add(&rows, "%s", channel_name((enum channel)k));
        listing_add(&rows, "%s", a->as_printed);
        listing_add(&rows, "%s", a->stated ? "rig file" : "wide default, nothing was stated");
    }
    html_element(html, "h3", "Rig");
    html_element(html, "p", rig->name);
    html_table(html, "Accuracy of the meters", heads, &rows);
    listing_free(&rows);
}

static void add_noted(struct text *html, const struct label *label)
{
    static const char *const heads[] = {"What", ">Noted", "With"};
    struct listing rows = listing_of(3);
    for (size_t k = 0; k < label->noted_count; k++) {
        const struct noted *n = &label->noted[k];
        listing_add(&rows, "%s", n->slug);
        listing_add(&rows, "%s", n->words);
        listing_add(&rows, "%s", n->where);
    }
    html_table(html, "Weighed, measured or seen on this unit", heads, &rows);
    listing_free(&rows);
}

void page_evidence(const struct assessment *assessment, struct text *html)
{
    for (size_t k = 0; k < assessment->record_count; k++) {
        const struct record *record = &assessment->records[k];
        html_element(html, "h3", account_file(record->path));
        if (record->by_eye)
            add_sightings(html, &record->sightings);
        else
            add_log(html, record);
    }
    add_noted(html, &assessment->label);
    add_rig(html, &assessment->rig);
}
