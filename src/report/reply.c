#include "report/reply.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/number.h"
#include "report/account.h"
#include "report/lines.h"
#include "report/signs.h"
#include "report/words.h"

#include <ctype.h>
#include <stdint.h>

enum { JSON_CARD_WIDTH = 80 };

const struct decision *reply_find(const struct assessment *assessment, const char *claim)
{
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (name_alike(span_of(claim), d->claim->slug) || name_alike(span_of(claim), d->claim->name))
            return d;
    }
    return NULL;
}

/* Words as a sentence of their own. */
static void add_sentence(const char *words, struct text *line)
{
    if (words[0] == '\0')
        return;
    bool closed = words[strlen(words) - 1] == '.';
    text_addf(line, "%s%c%s%s", line->length > 0 ? " " : "", toupper((unsigned char)words[0]), words + 1, closed ? "" : ".");
}

static char *say_result(const struct decision *d)
{
    struct text line = TEXT_EMPTY;
    add_sentence(verdict_name(d->verdict), &line);
    if (d->found[0] != '\0')
        text_addf(&line, " Found: %s", d->found);
    char p[32];
    words_probability(d, p, sizeof p);
    if (p[0] != '\0')
        text_addf(&line, ", %s that the claim holds", p);
    text_add(&line, d->found[0] != '\0' ? "." : "");
    add_sentence(d->reason, &line);
    return line.s;
}

static char *say_evidence(const struct assessment *assessment, const struct decision *d)
{
    struct text line = TEXT_EMPTY;
    if (d->record == SIZE_MAX) {
        add_sentence(d->verdict == VERDICT_NOT_TESTED ? "none: nothing was done that bears on it" : d->reason, &line);
    } else {
        const struct record *record = &assessment->records[d->record];
        const struct findings *f = &record->findings;
        if (record->by_eye)
            text_addf(&line, "%zu instants read by eye (%s).", record->sightings.count, account_file(record->path));
        else
            text_addf(&line, "%zu readings, one every %.3g s (%s).", record->log.series.count, f->period_s,
                      account_file(record->path));
        text_addf(&line, " Rig: %s; volts %s, amps %s.", assessment->rig.name,
                  assessment->rig.of[CHANNEL_VOLTAGE].as_printed, assessment->rig.of[CHANNEL_CURRENT].as_printed);
        if (f->has_test)
            text_addf(&line, " The discharge ended: %s.", ended_by_name(f->runs[f->test_last_run].ended.by));
        if (f->tally_ah.present)
            add_sentence(f->tally_ah.words, &line);
    }
    return line.s;
}

static char *say_doubt(const struct decision *d)
{
    struct text largest = TEXT_EMPTY, line = TEXT_EMPTY;
    account_largest(&d->measured, &largest);
    add_sentence(d->verdict == VERDICT_NOT_EXERCISED ? "whether the claim holds where the test did not go"
                 : d->verdict == VERDICT_NOT_TESTED  ? "everything: nothing was done that bears on it"
                 : largest.length > 0                ? largest.s
                 : d->record != SIZE_MAX             ? "whether it was the board that stopped it, and for that reason"
                                                     : "it rests on what somebody saw",
                 &line);
    text_free(&largest);
    return line.s;
}

/* By how much the value would have to be wrong to change the verdict. */
static void say_margin(const struct decision *d, struct text *line)
{
    const struct measure *m = &d->measured;
    double margin = claim_limit(d->claim, m->value) - m->value, share = fabs(margin / m->value);
    bool degrees = d->claim->quantity == QUANTITY_TEMPERATURE; /* of which a share means nothing */
    char by[32];
    number_print(degrees ? fabs(margin) : 100 * share, degrees ? fabs(margin) / 10 : 10 * share, by, sizeof by);
    text_addf(line, "Evidence that the measured value is wrong by %s %s, too %s", by, degrees ? "K" : "%", margin > 0 ? "low" : "high");
    if (m->u > 0)
        text_addf(line, ": %.1f times its standard uncertainty", fabs(margin / m->u));
    text_add(line, "; or a second sample, or a better rig, that comes out on the other side. The readings are published: "
                   "anybody can recompute this.");
}

static char *say_overturn(const struct decision *d)
{
    struct text line = TEXT_EMPTY;
    bool decided = d->verdict == VERDICT_MET || d->verdict == VERDICT_NOT_MET;
    if (decided && measure_known(&d->measured) && !isnan(d->claim->stated))
        say_margin(d, &line);
    else if (decided)
        text_add(&line, "A film, or a second witness, that shows it otherwise.");
    else if (d->would_decide[0] != '\0')
        text_addf(&line, "It is open as it stands. What would settle it: %s.", d->would_decide);
    else
        text_add(&line, "A test of it: this one says nothing either way.");
    return line.s;
}

static char *owned(char *words)
{
    return words != NULL ? words : memory_copy_string("");
}

struct reply reply_of(const struct assessment *assessment, const struct decision *decision)
{
    return (struct reply){.decision = decision,
                          .result = owned(say_result(decision)),
                          .evidence = owned(say_evidence(assessment, decision)),
                          .doubt = owned(say_doubt(decision)),
                          .overturn = owned(say_overturn(decision))};
}

void reply_free(struct reply *reply)
{
    free(reply->result);
    free(reply->evidence);
    free(reply->doubt);
    free(reply->overturn);
    *reply = (struct reply){0};
}

static void part(const char *heading, const char *words, int width, struct text *text)
{
    text_addf(text, "\n%s\n  ", heading);
    lines_wrap(words, 2, width, text);
}

static void print_card(const struct assessment *assessment, const struct reply *reply, int width, struct text *text)
{
    const struct claim *claim = reply->decision->claim;
    text_addf(text, "%s%s\n%s: %s", assessment->invented ? "INVENTED DATA\n" : "", assessment->label.sample, claim->name,
              claim->as_stated);
    if (claim->where[0] != '\0')
        text_addf(text, " (%s)", claim->where);
    text_add(text, "\n");
    part("Result", reply->result, width, text);
    part("Evidence", reply->evidence, width, text);
    part("Largest doubt", reply->doubt, width, text);
    part("What would overturn it", reply->overturn, width, text);
    text_add(text, "\nOne sample is one sample.\n");
}

enum status reply_card(const struct assessment *assessment, const char *claim, int width, struct text *text,
                       struct message *message)
{
    const struct decision *d = reply_find(assessment, claim);
    if (d == NULL) {
        struct text list = TEXT_EMPTY;
        for (size_t k = 0; k < assessment->decision_count; k++)
            text_addf(&list, "%s%s", k > 0 ? ", " : "", assessment->decisions[k].claim->slug);
        status_fail(message, STATUS_USAGE, "the label holds no claim '%s'", claim);
        if (list.length > 0)
            status_remedy(message, "its claims are: %.400s", text_string(&list));
        else
            status_remedy(message, "give a label with --label");
        text_free(&list);
        return STATUS_USAGE;
    }
    struct reply reply = reply_of(assessment, d);
    print_card(assessment, &reply, width, text);
    reply_free(&reply);
    return STATUS_OK;
}

static void put_signed(json_t *object, const char *key, const struct signs *signs, char *words)
{
    signs_set(signs, words);
    json_put_words(object, key, words);
}

static json_t *reply_json(const struct assessment *assessment, const struct decision *decision, const struct signs *signs)
{
    json_t *o = json_object();
    struct text card = TEXT_EMPTY;
    struct reply reply = reply_of(assessment, decision);
    struct claim claim = *decision->claim;
    print_card(assessment, &reply, JSON_CARD_WIDTH, &card);
    json_put_words(o, "claim", claim.slug);
    json_put_words(o, "name", claim.name);
    put_signed(o, "stated", signs, claim.as_stated);
    json_put_words(o, "where", claim.where);
    json_put_words(o, "verdict", verdict_name(decision->verdict));
    put_signed(o, "result", signs, reply.result);
    put_signed(o, "evidence", signs, reply.evidence);
    put_signed(o, "doubt", signs, reply.doubt);
    put_signed(o, "overturn", signs, reply.overturn);
    put_signed(o, "text", signs, card.s);
    text_free(&card);
    reply_free(&reply);
    return o;
}

json_t *json_replies(const struct assessment *assessment, bool comma)
{
    json_t *all = json_object(), *replies = json_array();
    struct signs signs = signs_of(assessment, comma);
    for (size_t k = 0; k < assessment->decision_count; k++)
        json_array_append_new(replies, reply_json(assessment, &assessment->decisions[k], &signs));
    json_put_words(all, "sample", account_title(assessment));
    json_put(all, "invented", json_boolean(assessment->invented));
    json_put(all, "replies", replies);
    signs_free(&signs);
    return all;
}
