/* Words for readings typed by eye: what each line allows. */
#include "claims/paper_taken.h"

#include "base/number.h"

static void add_time(const struct instant *instant, struct text *text)
{
    char time[40], half[40];
    if (isnan(instant->t_s)) {
        text_add(text, "no time, only its place in the order");
        return;
    }
    if (instant->t_s < 60)
        number_print(instant->t_s, instant->halfwidth_s, time, sizeof time);
    else
        number_print_duration(instant->t_s, time, sizeof time);
    number_print(instant->halfwidth_s, instant->halfwidth_s, half, sizeof half);
    text_addf(text, "%s ± %s s", time, half);
}

static void add_value(const struct sighted *value, struct text *text)
{
    char a[40], b[40];
    const char *symbol = channel_symbol(value->channel);
    double half = (value->hi - value->lo) / 2;
    text_add(text, value->channel == CHANNEL_AMBIENT ? "ambient " : "");
    if (isinf(value->hi) && isinf(value->lo)) {
        text_addf(text, "any %s", symbol);
    } else if (isinf(value->hi) || isinf(value->lo)) {
        number_print(isinf(value->hi) ? value->lo : value->hi, value->digit, a, sizeof a);
        text_addf(text, "%s %s %s", isinf(value->hi) ? "above" : "below", a, symbol);
    } else {
        number_print((value->lo + value->hi) / 2, half > 0 ? half : value->digit, a, sizeof a);
        number_print(half, half, b, sizeof b);
        text_addf(text, "%s ± %s %s", a, b, symbol);
    }
    if (value->had != HAD_SEEN)
        text_addf(text, ", %s", had_name(value->had));
}

void paper_instant_words(const struct instant *instant, struct text *text)
{
    bool first = true;
    for (size_t k = 0; k < instant->count; k++, first = false) {
        text_add(text, first ? "" : " · ");
        add_value(&instant->values[k], text);
    }
    if (instant->words != NULL && instant->words[0] != '\0')
        text_addf(text, "%smark: %s", first ? "" : " · ", instant->words);
}

static size_t next_line(struct span *rest)
{
    const char *end = memchr(rest->p, '\n', rest->n);
    size_t n = end != NULL ? (size_t)(end - rest->p) : rest->n, used = n + (end != NULL);
    *rest = (struct span){rest->p + used, rest->n - used};
    return n;
}

static void add_instant(const struct sightings *sightings, const struct instant *instant, struct paper_check *check)
{
    struct text text = TEXT_EMPTY;
    if (sightings->clips > 1 && !sightings->tied)
        text_addf(&text, "clip %d, ", instant->clip + 1);
    add_time(instant, &text);
    text_add(&text, " · ");
    paper_instant_words(instant, &text);
    paper_add_line(check, instant->line, instant->count > 0 ? "reading" : "mark", &text);
}

void paper_taken_readings(const struct sightings *sightings, struct span text, struct paper_check *check)
{
    size_t at = 0;
    long number = 0;
    for (struct span rest = text; rest.n > 0;) {
        struct span start = rest, line = span_trim((struct span){start.p, next_line(&rest)});
        number++;
        if (at < sightings->count && sightings->instants[at].line == number) {
            add_instant(sightings, &sightings->instants[at++], check);
        } else if (line.n > 0) {
            struct text none = TEXT_EMPTY;
            paper_add_line(check, number, line.p[0] == '#' ? "remark" : "heading", &none);
        }
    }
}
