#include "cli/commands.h"

#include "claims/rated_of.h"
#include "cli/desk.h"
#include "cli/opened_words.h"
#include "report/codes_taken.h"
#include "report/json_parts.h"
#include "report/opened_json.h"

const char opened_about[] =
    "What was seen in an opened sample (docs/opened.md), what it comes to, what speaks against the label, and what to look\n"
    "at next. With a label, conductors, fuse and board are held against its currents, cells against its ampere-hours, vent\n"
    "and seal against an ingress code. With a book: the paper that is kept there with the sample, and its label;\n"
    "--take-codes first reads the codes off all its pictures and puts those of cells into that paper.\n\n"
    "  rundown opened hut-pack.opened --label hut-pack.label\n"
    "  rundown opened workshop.book --sample \"Hut pack 14\" --json\n"
    "  rundown opened workshop.book --sample \"Hut pack 14\" --take-codes\n"
    "  rundown opened --blank --label hut-pack.label          what to look at in a case that is still closed\n\n"
    "Open a sample only when it is nearly empty, with insulated tools, and never alone; local codes and licensed practice\n"
    "stand above anything that is computed here.";

enum { OPT_LABEL, OPT_SAMPLE, OPT_TAKE, OPT_BLANK, OPT_JSON, WIDTH = 100 };

const struct option_spec opened_options[] = {
    [OPT_LABEL] = {"label", "FILE", "the claims that it is held against (docs/label.md)"},
    [OPT_SAMPLE] = {"sample", "NAME", "the file is a book: what it keeps of this sample"},
    [OPT_TAKE] = {"take-codes", NULL, "read the codes of cells off the sample's pictures into its paper"},
    [OPT_BLANK] = {"blank", NULL, "nothing has been seen yet: only say what to look at"},
    [OPT_JSON] = {"json", NULL, "print as JSON (docs/json.md, under `opened`)"},
    {NULL, NULL, NULL},
};

struct arguments {
    const char *path, *label, *sample;
    bool take, blank, json;
};

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = opened_options};
    const char *value = NULL;
    for (int k; (k = option_next(&walk, &value, message)) != OPTION_END;) {
        switch (k) {
        case OPTION_FAULT: return message->status;
        case OPT_LABEL: a->label = value; break;
        case OPT_SAMPLE: a->sample = value; break;
        case OPT_TAKE: a->take = true; break;
        case OPT_BLANK: a->blank = true; break;
        case OPT_JSON: a->json = true; break;
        default:
            if (a->path != NULL)
                return status_fail(message, STATUS_USAGE, "one file at a time, and '%s' is a second", value);
            a->path = value;
        }
    }
    if (a->take && (a->path == NULL || a->sample == NULL)) {
        status_fail(message, STATUS_USAGE, "--take-codes is of pictures in a book");
        return status_remedy(message, "name a book and --sample NAME");
    }
    if ((a->path != NULL) != a->blank && !(a->blank && a->sample != NULL))
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, a->blank ? "--blank takes no file and no sample" : "no file given");
    return status_remedy(message, "as in `rundown opened hut-pack.opened --label hut-pack.label`");
}

struct papers {
    struct opened opened;
    struct label label;
    struct notices notices;
};

static enum status document_of(struct book *book, int64_t sample, enum document_kind kind, struct document *ret_document,
                               struct message *message)
{
    int64_t id = 0;
    enum status status = document_latest(book, sample, kind, NULL, &id, message);
    return status == STATUS_OK && id != 0 ? document_get(book, id, ret_document, message) : status;
}

static enum status take_codes(struct book *book, const struct book_sample *sample, struct message *message)
{
    struct codes_taken taken = {0};
    enum status status = codes_take(book, sample, desk_utc_ns(), &taken, message);
    if (status == STATUS_OK)
        fprintf(stderr, "codes of cells: %zu read off %zu pictures, %zu of them new\n", taken.read, taken.pictures,
                taken.added);
    return status;
}

static enum status read_documents(struct book *book, const struct arguments *a, struct papers *papers,
                                  struct message *message)
{
    struct book_sample sample;
    struct document opened = {0}, label = {0};
    enum status status = book_sample_find(book, a->sample, &sample, message);
    if (status == STATUS_OK && a->take)
        status = take_codes(book, &sample, message);
    if (status == STATUS_OK)
        status = document_of(book, sample.id, DOCUMENT_OPENED, &opened, message);
    if (status == STATUS_OK && a->label == NULL)
        status = document_of(book, sample.id, DOCUMENT_LABEL, &label, message);
    if (status == STATUS_OK && opened.id != 0)
        status = opened_read_text(opened.name, (struct span){text_string(&opened.text), opened.text.length}, &papers->opened,
                                  message);
    if (status == STATUS_OK && label.id != 0)
        status = label_read_text(label.name, (struct span){text_string(&label.text), label.text.length}, &papers->label,
                                 &papers->notices, message);
    document_free(&opened);
    document_free(&label);
    return status;
}

static enum status read_papers(const struct arguments *a, struct papers *papers, struct message *message)
{
    enum status status = STATUS_OK;
    struct book *book = NULL;
    if (a->label != NULL)
        status = label_read(a->label, &papers->label, &papers->notices, message);
    if (status == STATUS_OK && a->sample == NULL)
        return a->path != NULL ? opened_read(a->path, &papers->opened, message) : STATUS_OK;
    if (status == STATUS_OK)
        status = desk_open(a->path, a->take ? BOOK_WRITE : BOOK_READ, &book, message);
    if (status == STATUS_OK)
        status = read_documents(book, a, papers, message);
    book_close(book);
    return status;
}

static void print(const struct arguments *a, const struct papers *papers, const struct inspection *inspection,
                  struct text *text)
{
    if (a->json) {
        json_t *all = json_object();
        json_head(all);
        json_put(all, "opened", opened_json(&papers->opened, inspection));
        json_finish(all, text);
    } else {
        opened_words(&papers->opened, inspection, WIDTH, text);
    }
}

int opened_run(int argc, char **argv)
{
    struct arguments a = {0};
    struct message message;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    struct papers papers = {.label = label_empty()};
    struct inspection inspection = {0};
    struct text text = TEXT_EMPTY;
    enum status status = read_papers(&a, &papers, &message);
    struct rated rated = rated_of(&papers.label);
    if (status == STATUS_OK)
        status = inspect(&papers.opened, &rated, &inspection, &message);
    if (status == STATUS_OK) {
        print(&a, &papers, &inspection, &text);
        status = desk_print(&text, &message);
    }
    text_free(&text);
    inspection_free(&inspection);
    opened_free(&papers.opened);
    label_free(&papers.label);
    notices_free(&papers.notices);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
