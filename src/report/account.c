/* The account of the assessment as a whole: the sample, its claims, the notices. */
#include "report/account.h"

#include "base/number.h"
#include "report/words.h"

#include <ctype.h>

const char *account_file(const char *path)
{
    const char *slash = strrchr(path, '/');
    return strcmp(path, "-") == 0 ? "standard input" : slash != NULL ? slash + 1 : path;
}

const char *account_title(const struct assessment *assessment)
{
    const struct record *main = assessment_main(assessment);
    if (assessment->has_label || assessment->record_count == 0)
        return assessment->label.sample;
    return account_file(main != NULL ? main->path : assessment->records[0].path);
}

static void sentence(struct text *text, const char *before, const char *words)
{
    if (words[0] == '\0')
        return;
    bool closed = strchr(".!?", words[strlen(words) - 1]) != NULL;
    text_addf(text, "%s%s%s%s", text->length > 0 ? " " : "", before, words, closed ? "" : ".");
}

void account_about(const struct assessment *assessment, struct text *text)
{
    const struct label *label = &assessment->label;
    char words[200];
    snprintf(words, sizeof words, "%s", label->description);
    words[0] = (char)toupper((unsigned char)words[0]);
    sentence(text, "", words);
    sentence(text, "How it was had: ", label->had_words[0] != '\0' ? label->had_words
                                       : assessment->has_label   ? "not stated"
                                                                 : "");
    if (!isnan(label->price)) {
        snprintf(words, sizeof words, "%.2f %s", label->price, label->currency);
        sentence(text, "Price: ", words);
    }
    sentence(text, "Tested: ", label->tested);
    snprintf(words, sizeof words, "%s; volts %s, amps %s", assessment->rig.name,
             assessment->rig.of[CHANNEL_VOLTAGE].as_printed, assessment->rig.of[CHANNEL_CURRENT].as_printed);
    sentence(text, "Rig: ", words);
}

void account_claims(const struct assessment *assessment, struct listing *rows)
{
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        char p[32];
        words_probability(d, p, sizeof p);
        listing_add(rows, "%s", d->claim->name);
        listing_add(rows, "%s", d->claim->as_stated);
        listing_add(rows, "%s", d->claim->where);
        listing_add(rows, "%s", d->found);
        listing_add(rows, "%s", p);
        listing_add(rows, "%s", verdict_name(d->verdict));
        listing_add(rows, "%s", d->reason);
    }
}

/* `file` of the notices; named where there are several. */
static void add_notices(const struct notices *notices, const char *file, bool several, struct listing *rows)
{
    for (size_t k = 0; k < notices->count; k++) {
        const struct notice *n = &notices->items[k];
        listing_add(rows, "%s", n->topic != NULL ? n->topic : "");
        if (n->line > 0 && file != NULL)
            listing_add(rows, "%s:%ld: %s", file, n->line, n->text);
        else if (n->line > 0)
            listing_add(rows, "line %ld: %s", n->line, n->text);
        else if (file != NULL && several)
            listing_add(rows, "%s: %s", file, n->text);
        else
            listing_add(rows, "%s", n->text);
    }
}

void account_notices(const struct assessment *assessment, struct listing *rows)
{
    add_notices(&assessment->notices, NULL, false, rows);
    for (size_t k = 0; k < assessment->record_count; k++)
        if (!assessment->records[k].by_eye)
            add_notices(&assessment->records[k].log.notices, account_file(assessment->records[k].path),
                        assessment->record_count > 1, rows);
}
