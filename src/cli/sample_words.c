#include "cli/sample_words.h"

#include "archive/book_json.h"
#include "cli/desk.h"
#include "cli/picture_words.h"
#include "cli/run_words.h"
#include "cli/table_text.h"

static void finish_json(json_t *all, struct text *text)
{
    json_add_text(all, false, text);
    text_add(text, "\n");
    json_decref(all);
}

void corrections_words(const struct correction_list *list, struct text *text)
{
    for (size_t k = 0; k < list->count; k++) {
        const struct correction *one = &list->items[k];
        char time[DESK_TIME];
        desk_time((double)one->utc_ns / 1e9, false, time);
        text_addf(text, "%s%s  %s: '%s' became '%s'\n", k == 0 ? "\nCorrected\n  " : "  ", time, one->field, one->before,
                  one->after);
    }
}

static void document_words(const struct document *document, size_t versions, struct text *text)
{
    char time[DESK_TIME];
    desk_time((double)document->utc_ns / 1e9, false, time);
    bool named = strcmp(document->name, document_kind_words[document->kind]) != 0;
    text_addf(text, "\n%s%s%s, of %s", document_kind_words[document->kind], named ? " " : "",
              named ? document->name : "", time);
    if (versions > 1)
        text_addf(text, ", version %zu", versions);
    text_add(text, "\n");
    const char *line = text_string(&document->text), *end = line + document->text.length;
    while (line < end) {
        size_t n = strcspn(line, "\r\n");
        text_add(text, "    ");
        text_add_bytes(text, line, n);
        text_add(text, "\n");
        line += n;
        line += line < end && line[0] == '\r' && line[1] == '\n';
        line += line < end;
    }
}

/* The latest of each. */
static enum status documents_words(struct book *book, int64_t sample, struct text *text, struct message *message)
{
    int64_t *ids = NULL, *versions = NULL;
    size_t count = 0, version_count = 0;
    enum status status = document_list(book, sample, &ids, &count, message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++) {
        struct document document;
        status = document_versions(book, ids[k], &versions, &version_count, message);
        if (status != STATUS_OK)
            break;
        free(versions);
        status = document_get(book, ids[k], &document, message);
        if (status != STATUS_OK)
            break;
        document_words(&document, version_count, text);
        document_free(&document);
    }
    free(ids);
    return status;
}

static enum status pictures_words(struct book *book, int64_t sample, struct text *text, struct message *message)
{
    struct picture_list list = {0};
    enum status status = book_pictures(book, sample, &list, message);
    if (status == STATUS_OK && list.count > 0) {
        text_add(text, "\nPictures\n");
        status = picture_list_words(book, &list, 2, text, message);
    }
    picture_list_free(&list);
    return status;
}

static enum status runs_words(struct book *book, int64_t sample, struct text *text, struct message *message)
{
    struct correction_list corrections = {0};
    struct book_run_list runs = {0};
    enum status status = book_runs(book, sample, &runs, message);
    if (status == STATUS_OK)
        status = book_corrections(book, sample, 0, &corrections, message);
    if (status == STATUS_OK) {
        if (runs.count > 0)
            text_add(text, "\nRuns\n");
        run_list_words(&runs, NULL, 2, text);
        corrections_words(&corrections, text);
    }
    book_run_list_free(&runs);
    correction_list_free(&corrections);
    return status;
}

static enum status sample_words(struct book *book, const struct book_sample *sample, struct text *text,
                                struct message *message)
{
    char added[DESK_TIME];
    desk_time((double)sample->added_utc_ns / 1e9, false, added);
    text_addf(text, "%s%s\nadded %s\n", sample->name, sample->invented ? " (invented)" : "", added);
    enum status status = documents_words(book, sample->id, text, message);
    if (status == STATUS_OK)
        status = pictures_words(book, sample->id, text, message);
    return status == STATUS_OK ? runs_words(book, sample->id, text, message) : status;
}

enum status sample_show_text(struct book *book, const struct book_sample *sample, bool json, struct text *text,
                             struct message *message)
{
    json_t *all = NULL;
    if (!json)
        return sample_words(book, sample, text, message);
    enum status status = sample_whole_json(book, sample, &all, message);
    if (status == STATUS_OK)
        finish_json(all, text);
    return status;
}
