#include "claims/plan_ticks.h"

#include "base/number.h"
#include "intake/ini.h"

#include <stdlib.h>

static const char note[] = "steps of the plan";

static struct plan_ticks none(void)
{
    struct plan_ticks ticks;
    for (int k = 0; k < PLAN_STEPS; k++)
        ticks.done_utc_s[k] = NAN;
    return ticks;
}

/* `plan = 17` and lines `step 3 = 1764061865.250`, seconds since 1970. Whatever else somebody wrote into the note is
 * passed over. */
static void take(const struct ini *ini, int64_t plan, struct plan_ticks *ticks)
{
    double number;
    const struct ini_entry *of = ini_next(ini, NULL, "plan", NULL);
    if (of == NULL || !number_is(span_of(of->value), '.', &number) || number != (double)plan)
        return;
    for (int k = 0; k < PLAN_STEPS; k++) {
        char key[16];
        snprintf(key, sizeof key, "step %d", k + 1);
        const struct ini_entry *entry = ini_next(ini, NULL, key, NULL);
        if (entry != NULL && number_is(span_of(entry->value), '.', &number))
            ticks->done_utc_s[k] = number;
    }
}

enum status plan_ticks_read(struct book *book, int64_t sample, int64_t plan, struct plan_ticks *ret_ticks,
                            struct message *message)
{
    int64_t id = 0;
    struct document document;
    struct ini ini;
    struct message ignored;
    struct plan_ticks ticks = none();
    enum status status = document_latest(book, sample, DOCUMENT_NOTE, note, &id, message);
    if (status == STATUS_OK && id != 0) {
        status = document_get(book, id, &document, message);
        if (status != STATUS_OK)
            return status;
        struct span text = {text_string(&document.text), document.text.length};
        if (ini_read_text(document.name, text, &ini, &ignored) == STATUS_OK) {
            take(&ini, plan, &ticks);
            ini_free(&ini);
        }
        document_free(&document);
    }
    if (status == STATUS_OK)
        *ret_ticks = ticks;
    return status;
}

static enum status put(struct book *book, int64_t sample, int64_t plan, const struct plan_ticks *ticks, int64_t utc_ns,
                       struct message *message)
{
    struct text text = TEXT_EMPTY;
    int64_t id;
    text_addf(&text, "; the steps of a plan as they were ticked, in seconds since 1970 (UTC)\nplan = %lld\n", (long long)plan);
    for (int k = 0; k < PLAN_STEPS; k++)
        if (!isnan(ticks->done_utc_s[k]))
            text_addf(&text, "step %d = %.3f\n", k + 1, ticks->done_utc_s[k]);
    enum status status = document_put(book, sample, DOCUMENT_NOTE, note,
                                      (struct span){text_string(&text), text.length}, utc_ns, &id, message);
    text_free(&text);
    return status;
}

enum status plan_ticks_set(struct book *book, int64_t sample, int64_t plan, int step, double done_utc_s, int64_t utc_ns,
                           struct message *message)
{
    struct plan_ticks ticks;
    if (step < 0 || step >= PLAN_STEPS)
        return status_fail(message, STATUS_USAGE, "a plan has no step %d", step + 1);
    enum status status = book_begin(book, message); /* of two who tick at once neither is lost */
    if (status != STATUS_OK)
        return status;
    status = plan_ticks_read(book, sample, plan, &ticks, message);
    if (status == STATUS_OK) {
        ticks.done_utc_s[step] = done_utc_s;
        status = put(book, sample, plan, &ticks, utc_ns, message);
    }
    if (status == STATUS_OK)
        return book_commit(book, message);
    book_rollback(book);
    return status;
}
