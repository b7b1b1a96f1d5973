#include "report/publishing.h"

#include "report/account.h"

const char *const publishing_parts[PUBLISH_PARTS + 1] = {
    [PUBLISH_BUDGETS] = "budgets",   [PUBLISH_CONDITIONS] = "conditions", [PUBLISH_NOTICES] = "notices",
    [PUBLISH_CAUTIONS] = "cautions", [PUBLISH_RECOMPUTE] = "recompute",   [PUBLISH_PICTURES] = "pictures",
};

bool publishing_shows(const struct publishing *publishing, size_t record)
{
    return publishing->hide == NULL || !publishing->hide[record];
}

static enum status leave_out_one(struct publishing *publishing, struct span word, struct message *message)
{
    for (int k = 0; k < PUBLISH_PARTS; k++)
        if (span_is_word(word, publishing_parts[k])) {
            publishing->without[k] = true;
            return STATUS_OK;
        }
    struct text list = TEXT_EMPTY;
    for (int k = 0; k < PUBLISH_PARTS; k++)
        text_addf(&list, "%s%s", k > 0 ? ", " : "", publishing_parts[k]);
    status_fail(message, STATUS_USAGE, "'%.*s' cannot be left out", (int)(word.n < 40 ? word.n : 40), word.p);
    status_remedy(message, "what can is: %s", text_string(&list));
    text_free(&list);
    return STATUS_USAGE;
}

enum status publishing_leave_out(struct publishing *publishing, const char *words, struct message *message)
{
    for (const char *p = words; *p != '\0';) {
        size_t n = strcspn(p, ",");
        struct span word = span_trim((struct span){p, n});
        if (word.n > 0) {
            enum status status = leave_out_one(publishing, word, message);
            if (status != STATUS_OK)
                return status;
        }
        p += n + (p[n] == ',');
    }
    return STATUS_OK;
}

void publishing_left_out(const struct publishing *publishing, const struct assessment *assessment, struct text *text)
{
    static const char *const names[PUBLISH_PARTS] = {
        [PUBLISH_BUDGETS] = "what the uncertainty is made of",
        [PUBLISH_CONDITIONS] = "the conditions beside the standards'",
        [PUBLISH_NOTICES] = "the notices",
        [PUBLISH_CAUTIONS] = "the cautions",
        [PUBLISH_RECOMPUTE] = "how to recompute",
    };
    const char *before = "Left out by whoever published this: ";
    size_t at = text->length;
    for (int k = 0; k < PUBLISH_PARTS; k++)
        if (publishing->without[k] && names[k] != NULL) {
            text_addf(text, "%s%s", before, names[k]);
            before = ", ";
        }
    for (size_t k = 0; k < assessment->record_count; k++)
        if (!publishing_shows(publishing, k)) {
            text_addf(text, "%s%s", before, account_file(assessment->records[k].path));
            before = ", ";
        }
    text_add(text, text->length > at ? "; the verdicts rest on all of it." : "");
}
