/* Several samples on shared axes, as `rundown compare` gives them. */
#include "web/areas.h"

#include "base/memory.h"
#include "report/compare.h"

static enum status take_ids(const struct http_request *request, int64_t ids[static COMPARED_MOST], size_t *ret_count,
                            struct message *message)
{
    const char *text = http_query(request, "samples");
    struct span rest = span_of(text != NULL ? text : "");
    size_t count = 0;
    while (rest.n > 0) {
        char word[24];
        const char *comma = memchr(rest.p, ',', rest.n);
        size_t n = comma != NULL ? (size_t)(comma - rest.p) : rest.n;
        span_copy((struct span){rest.p, n}, word, sizeof word);
        if (count == COMPARED_MOST)
            return status_fail(message, STATUS_USAGE, "more than %d samples are not compared at once", COMPARED_MOST);
        enum status status = http_id(word, &ids[count], message);
        if (status != STATUS_OK)
            return status;
        for (size_t k = 0; k < count; k++)
            if (ids[k] == ids[count])
                return status_fail(message, STATUS_USAGE, "sample %s is named twice", word);
        count++;
        rest = comma != NULL ? (struct span){comma + 1, rest.n - n - 1} : (struct span){NULL, 0};
    }
    if (count < COMPARED_LEAST)
        return status_fail(message, STATUS_USAGE, "fewer than two samples to compare");
    *ret_count = count;
    return STATUS_OK;
}

/* Those compared hold shared assessments until they are given back. */
static void put_back(struct workshop *workshop, struct compare *compare)
{
    for (size_t k = 0; k < compare->count; k++)
        workshop_give_back(workshop, compare->items[k].assessment);
    compare_free(compare);
}

static enum status add(struct workshop *workshop, int64_t id, struct compare *compare, struct message *message)
{
    struct book_sample sample;
    struct book *book = workshop_take(workshop, BOOK_READ, message);
    enum status status = book != NULL ? book_sample_by_id(book, id, &sample, message) : message->status;
    workshop_put(workshop, book);
    if (status != STATUS_OK)
        return status;
    const struct assessment *assessment = workshop_assessed(workshop, id, 0, message);
    if (assessment == NULL) { /* which of them */
        char place[sizeof message->file];
        snprintf(place, sizeof place, "%s%s%s", sample.name, message->file[0] != '\0' ? ", " : "", message->file);
        return status_at(message, place, message->line, message->column);
    }
    compare_add(compare, id, sample.name, assessment);
    return STATUS_OK;
}

static enum status take(struct workshop *workshop, const struct http_request *request, struct compare *compare,
                        struct message *message)
{
    int64_t ids[COMPARED_MOST];
    size_t count = 0;
    enum status status = take_ids(request, ids, &count, message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++)
        status = add(workshop, ids[k], compare, message);
    return status;
}

static void on_numbers(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    struct compare *compare = memory_get(sizeof *compare);
    if (take(workshop, request, compare, &message) == STATUS_OK)
        compare_json(compare, &reply->body);
    else
        http_fail(reply, 0, &message);
    put_back(workshop, compare);
    free(compare);
}

static enum status word_of(const struct http_request *request, const char *name, const char *const *words, int *ret_index,
                           struct message *message)
{
    const char *word = http_query(request, name);
    for (int k = 0; words[k] != NULL; k++) {
        *ret_index = k;
        if (word == NULL || strcmp(word, words[k]) == 0)
            return STATUS_OK;
    }
    return status_fail(message, STATUS_USAGE, "there is no %s '%.40s'", name, word);
}

static enum status draw(struct workshop *workshop, const struct http_request *request, struct compare *compare,
                        struct http_reply *reply, struct message *message)
{
    static const char *const forms[] = {"part", "svg", "png", NULL};
    static const enum picture_form pictures[] = {PICTURE_SVG_PART, PICTURE_SVG, PICTURE_PNG};
    int figure = 0, form = 0;
    double width = 0;
    enum status status = word_of(request, "figure", compare_words, &figure, message);
    if (status == STATUS_OK)
        status = word_of(request, "form", forms, &form, message);
    if (status == STATUS_OK)
        status = http_number("width", http_query(request, "width"), PICTURED_LEAST, PICTURED_MOST, PICTURED_WIDTH, &width, message);
    if (status == STATUS_OK)
        status = take(workshop, request, compare, message);
    if (status == STATUS_OK)
        status = compare_picture(compare, (enum compare_figure)figure, pictures[form], width, &reply->body, message);
    if (status != STATUS_OK)
        return status;
    reply->type = pictures[form] == PICTURE_PNG ? "image/png" : "image/svg+xml";
    if (form > 0)
        snprintf(reply->file_name, sizeof reply->file_name, "compared-%s.%s", compare_words[figure], forms[form]);
    return STATUS_OK;
}

static void on_figure(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    struct compare *compare = memory_get(sizeof *compare);
    if (draw(workshop, request, compare, reply, &message) != STATUS_OK)
        http_fail(reply, 0, &message);
    put_back(workshop, compare);
    free(compare);
}

const struct http_route compare_routes[] = {
    {.method = "GET", .pattern = "/api/compare", .role = HTTP_READER, .answer = on_numbers},
    {.method = "GET", .pattern = "/api/compare/figure", .role = HTTP_READER, .answer = on_figure},
    {0},
};
