#include "web/published.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "report/account.h"
#include "report/parts.h"
#include "web/visit.h"

static const char *const papers[] = {"a4", "letter", NULL}, *const signs[] = {"point", "comma", NULL};

/* The place of the query's word among those there are; the first when it is not given. */
static enum status take_word(const struct http_request *request, const char *name, const char *const *words, int *ret_place,
                             struct message *message)
{
    const char *word = http_query(request, name);
    for (int k = 0; words[k] != NULL; k++)
        if (word == NULL || strcmp(word, words[k]) == 0) {
            *ret_place = k;
            return STATUS_OK;
        }
    status_fail(message, STATUS_USAGE, "%s cannot be '%.40s'", name, word);
    return status_remedy(message, "ask for %s or %s", words[0], words[1]);
}

/* The run that a record was read from; 0 when it is none of a book. */
static int64_t run_of(const struct record *record)
{
    char path[1024];
    int64_t run = 0;
    return stored_name(record->path, path, sizeof path, &run) ? run : 0;
}

static enum status hide_one(struct published *published, const char *word)
{
    const struct assessment *assessment = published->assessment;
    int64_t run = 0;
    enum status status = http_id(word, &run, &published->message);
    if (status != STATUS_OK)
        return status;
    for (size_t k = 0; k < assessment->record_count; k++)
        if (run_of(&assessment->records[k]) == run) {
            published->hide[k] = true;
            return STATUS_OK;
        }
    status_fail(&published->message, STATUS_USAGE, "run %lld is none of this sample", (long long)run);
    return status_remedy(&published->message, "name runs that are on its page");
}

static enum status take_hidden(struct published *published, const char *words)
{
    enum status status = STATUS_OK;
    published->hide = memory_get((published->assessment->record_count + 1) * sizeof *published->hide);
    published->publishing.hide = published->hide;
    for (const char *p = words; status == STATUS_OK && p != NULL && *p != '\0';) {
        char word[24];
        size_t n = strcspn(p, ",");
        span_copy((struct span){p, n}, word, sizeof word);
        status = hide_one(published, word);
        p += n + (p[n] == ',');
    }
    return status;
}

static enum status take_choices(struct published *published, const struct http_request *request)
{
    struct publishing *publishing = &published->publishing;
    const char *without = http_query(request, "without");
    int paper = 0, sign = 0;
    enum status status = take_word(request, "paper", papers, &paper, &published->message);
    if (status == STATUS_OK)
        status = take_word(request, "decimal", signs, &sign, &published->message);
    if (status == STATUS_OK && without != NULL)
        status = publishing_leave_out(publishing, without, &published->message);
    if (status == STATUS_OK)
        status = take_hidden(published, http_query(request, "hide"));
    publishing->paper = paper == 1 ? PAPER_LETTER : PAPER_A4;
    publishing->comma = sign == 1;
    return status;
}

bool published_begin(struct published *published, void *context, const struct http_request *request,
                     struct http_reply *reply)
{
    struct visit visit;
    *published = (struct published){.workshop = context, .reply = reply};
    if (!visit_sample(&visit, context, request, reply, BOOK_READ))
        return false;
    published->sample = visit.sample.id;
    visit_end(&visit, STATUS_OK);
    published->assessment = workshop_assessed(context, published->sample, 0, &published->message);
    enum status status = published->assessment != NULL ? take_choices(published, request) : published->message.status;
    if (status == STATUS_OK)
        return true;
    published_end(published, status);
    return false;
}

void published_end(struct published *published, enum status status)
{
    if (status != STATUS_OK)
        http_fail(published->reply, 0, &published->message);
    chosen_pictures_free(&published->pictures);
    free(published->hide);
    if (published->assessment != NULL)
        workshop_give_back(published->workshop, published->assessment);
}

enum status published_pictures(struct published *published)
{
    if (published->publishing.without[PUBLISH_PICTURES])
        return STATUS_OK;
    struct book *book = workshop_take(published->workshop, BOOK_READ, &published->message);
    if (book == NULL)
        return published->message.status;
    enum status status = chosen_pictures_read(book, published->sample, workshop_pictures(published->workshop),
                                              &published->pictures, &published->message);
    if (status == STATUS_OK)
        chosen_pictures_put(&published->pictures, &published->publishing);
    workshop_put(published->workshop, book);
    return status;
}

json_t *published_json(const struct published *published, int pages)
{
    const struct assessment *assessment = published->assessment;
    json_t *all = json_object(), *runs = json_array(), *parts = json_array();
    for (size_t k = 0; k < assessment->record_count; k++) {
        json_t *run = json_object();
        json_put(run, "run", json_integer(run_of(&assessment->records[k])));
        json_put_words(run, "what", part_name_of(assessment, k));
        json_put_words(run, "name", account_file(assessment->records[k].path));
        json_put(run, "shown", json_boolean(publishing_shows(&published->publishing, k)));
        json_array_append_new(runs, run);
    }
    for (int k = 0; k < PUBLISH_PARTS; k++)
        json_array_append_new(parts, json_words(publishing_parts[k]));
    json_put_words(all, "sample", account_title(assessment));
    json_put_words(all, "summary", assessment->summary);
    json_put(all, "opinion", assessment->opinion != NULL ? json_words(assessment->opinion) : json_null());
    json_put(all, "invented", json_boolean(assessment->invented));
    json_put(all, "claims", json_integer((json_int_t)assessment->decision_count));
    json_put(all, "sheet_pages", json_integer(pages));
    json_put(all, "pictures", json_integer((json_int_t)published->publishing.picture_count));
    json_put(all, "runs", runs);
    json_put(all, "parts", parts);
    json_put(all, "curve", json_boolean(assessment_main(assessment) != NULL));
    return all;
}
