#include "cli/commands.h"

#include "claims/label.h"
#include "cli/desk.h"
#include "cli/sample_words.h"
#include "cli/shelf_words.h"
#include "cli/values.h"
#include "report/shelf.h"

const char sample_about[] =
    "A sample is one physical battery. It has a name, its label and other papers as they were typed, and its runs.\n"
    "In names, capitals and blanks, _ and - do not count: `hut-pack-14` finds Hut pack 14.\n\n"
    "add: a new sample, with its label (docs/label.md) and what else there is to say of it.\n"
    "list: all samples of the book: what was claimed, what was last found, the verdicts, and how thin the evidence is.\n"
    "--assess first assesses those that have changed since. show: one of them, with papers, runs and corrections.\n"
    "correct: another name, a new version of its label, loads, plan or note, of what was seen in it once it was opened,\n"
    "or of your own summary. What stood before is kept and shown.\n"
    "remove: the sample with all its runs and readings; asks first.\n\n"
    "  rundown sample add workshop.book \"Hut pack 14\" --label s14.label\n"
    "  rundown sample list workshop.book\n"
    "  rundown sample show workshop.book hut-pack-14 --json\n"
    "  rundown sample correct workshop.book hut-pack-14 --name \"Bivouac pack\" --label s14.label\n"
    "  rundown sample remove workshop.book bivouac-pack";

enum { OPT_LABEL, OPT_LOADS, OPT_PLAN, OPT_NOTE, OPT_OPENED, OPT_SUMMARY, OPT_NAME, OPT_INVENTED, OPT_YES, OPT_ASSESS, OPT_JSON };

const struct option_spec sample_options[] = {
    [OPT_LABEL] = {"label", "FILE", "its label: the claims (docs/label.md)"},
    [OPT_LOADS] = {"loads", "FILE", "inverter and loads at hand (docs/loads.md)"},
    [OPT_PLAN] = {"plan", "FILE", "a plan of its test (`rundown plan --save`)"},
    [OPT_NOTE] = {"note", "FILE", "whatever else is to be kept with it, as text"},
    [OPT_OPENED] = {"opened", "FILE", "what was seen in it once it was opened (docs/opened.md)"},
    [OPT_SUMMARY] = {"summary", "FILE", "your own summary, as text: shown as opinion; an empty one takes it back"},
    [OPT_NAME] = {"name", "NAME", "correct: the new name"},
    [OPT_INVENTED] = {"invented", NULL, "add: this sample is made up for practice and is marked so everywhere; a label may say it itself"},
    [OPT_YES] = {"yes", NULL, "remove: do not ask"},
    [OPT_ASSESS] = {"assess", NULL, "list: assess those that have changed since they last were, and keep what was found"},
    [OPT_JSON] = {"json", NULL, "print as JSON (docs/book.md)"},
    {NULL, NULL, NULL},
};

enum { DO_ADD, DO_LIST, DO_SHOW, DO_CORRECT, DO_REMOVE };

static const struct desk_action actions[] = {
    [DO_ADD] = {"add", "NAME"},         [DO_LIST] = {"list", NULL},         [DO_SHOW] = {"show", "NAME"},
    [DO_CORRECT] = {"correct", "NAME"}, [DO_REMOVE] = {"remove", "NAME"}, {NULL, NULL}};

struct arguments {
    struct desk_words words;
    const char *papers[DOCUMENT_KINDS], *name;
    bool invented, yes, assess, json;
};

static enum status take(struct arguments *a, int option, const char *value, struct message *message)
{
    switch (option) {
    case OPTION_WORD: return desk_take_word(&a->words, "sample", actions, value, message);
    case OPT_LABEL: a->papers[DOCUMENT_LABEL] = value; break;
    case OPT_LOADS: a->papers[DOCUMENT_LOADS] = value; break;
    case OPT_PLAN: a->papers[DOCUMENT_PLAN] = value; break;
    case OPT_NOTE: a->papers[DOCUMENT_NOTE] = value; break;
    case OPT_OPENED: a->papers[DOCUMENT_OPENED] = value; break;
    case OPT_SUMMARY: a->papers[DOCUMENT_SUMMARY] = value; break;
    case OPT_NAME: a->name = value; break;
    case OPT_INVENTED: a->invented = true; break;
    case OPT_YES: a->yes = true; break;
    case OPT_ASSESS: a->assess = true; break;
    default: a->json = true;
    }
    return STATUS_OK;
}

/* A label of an invented sample says so itself. Faults of the label are told when it is put into the book. */
static bool label_invented(const char *path)
{
    struct label label = label_empty();
    struct notices notices = {0};
    struct message message;
    bool invented = path != NULL && label_read(path, &label, &notices, &message) == STATUS_OK && label.invented;
    label_free(&label);
    notices_free(&notices);
    return invented;
}

/* An option that the action would pass over is a mistake. */
static enum status judge(const struct arguments *a, struct message *message)
{
    bool add = a->words.action == DO_ADD, correct = a->words.action == DO_CORRECT;
    bool papers = false;
    for (int k = 0; k < DOCUMENT_KINDS; k++)
        papers = papers || a->papers[k] != NULL;
    const char *stray = papers && !add && !correct                                    ? "a paper"
                        : a->name != NULL && !correct                                 ? "--name"
                        : a->invented && !add                                         ? "--invented"
                        : a->yes && a->words.action != DO_REMOVE                        ? "--yes"
                        : a->assess && a->words.action != DO_LIST                       ? "--assess"
                                                                                      : NULL;
    if (stray != NULL)
        status_fail(message, STATUS_USAGE, "sample %s has no use for %s", actions[a->words.action].name, stray);
    else if (correct && !papers && a->name == NULL)
        status_fail(message, STATUS_USAGE, "what is to be corrected?");
    else
        return STATUS_OK;
    status_remedy(message, correct ? "give --name, --label, --loads, --plan, --note, --opened or --summary" : "see `rundown sample --help`");
    return STATUS_USAGE;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = sample_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;)
        status = k == OPTION_FAULT ? message->status : take(a, k, value, message);
    if (status == STATUS_OK)
        status = desk_want_words(&a->words, "sample", actions, message);
    return status == STATUS_OK ? judge(a, message) : status;
}

static enum status put_papers(struct book *book, int64_t sample, const struct arguments *a, struct message *message)
{
    enum status status = STATUS_OK;
    for (int kind = 0; kind < DOCUMENT_KINDS && status == STATUS_OK; kind++) {
        int64_t id = 0;
        if (a->papers[kind] != NULL)
            status = desk_put_paper(book, sample, (enum document_kind)kind, a->papers[kind], &id, message);
    }
    return status;
}

static enum status change(struct book *book, const struct arguments *a, int64_t *ret_id, struct message *message)
{
    struct book_sample sample = {0};
    enum status status = STATUS_OK;
    if (a->words.action == DO_ADD) {
        bool invented = a->invented || label_invented(a->papers[DOCUMENT_LABEL]);
        status = book_sample_add(book, a->words.object, invented, desk_utc_ns(), &sample.id, message);
    } else {
        status = book_sample_find(book, a->words.object, &sample, message);
        if (status == STATUS_OK && a->name != NULL)
            status = book_sample_rename(book, sample.id, a->name, desk_utc_ns(), message);
    }
    if (status == STATUS_OK)
        status = put_papers(book, sample.id, a, message);
    *ret_id = sample.id;
    return status;
}

static enum status show(struct book *book, const struct arguments *a, int64_t id, struct message *message)
{
    struct book_sample sample;
    struct text text = TEXT_EMPTY;
    enum status status = id != 0 ? book_sample_by_id(book, id, &sample, message)
                                 : book_sample_find(book, a->words.object, &sample, message);
    if (status == STATUS_OK)
        status = sample_show_text(book, &sample, a->json, &text, message);
    if (status == STATUS_OK)
        status = desk_print(&text, message);
    text_free(&text);
    return status;
}

static enum status refresh(struct book *book, struct message *message)
{
    struct progress progress = {"assessing", -1};
    size_t made = 0;
    return shelf_refresh(book, desk_utc_ns(), progress_function(false), &progress, &made, message);
}

static enum status list(struct book *book, const struct arguments *a, struct message *message)
{
    struct shelf_counts counts = {0};
    struct text text = TEXT_EMPTY;
    enum status status = a->assess ? refresh(book, message) : STATUS_OK;
    if (status == STATUS_OK)
        status = shelf_list_text(book, a->json, &text, &counts, message);
    if (status == STATUS_OK)
        status = desk_print(&text, message);
    text_free(&text);
    if (status != STATUS_OK || a->json)
        return status;
    if (counts.samples == 0)
        fprintf(stderr, "no samples yet: `rundown sample add %s NAME` makes one\n", a->words.book);
    else if (counts.stale > 0)
        fprintf(stderr, "%zu of %zu not assessed as they are now: `rundown sample list %s --assess` does it\n", counts.stale,
                counts.samples, a->words.book);
    return status;
}

static enum status take_away(struct book *book, const struct arguments *a, struct message *message)
{
    struct book_sample sample;
    char what[BOOK_NAME + 64];
    enum status status = book_sample_find(book, a->words.object, &sample, message);
    if (status != STATUS_OK)
        return status;
    snprintf(what, sizeof what, "%s with %d run%s", sample.name, sample.runs, sample.runs == 1 ? "" : "s");
    status = desk_ask(what, a->yes, message);
    return status == STATUS_OK ? book_sample_remove(book, sample.id, message) : status;
}

/* All or nothing: a sample whose label is malformed is not added. */
static enum status change_and_show(struct book *book, const struct arguments *a, struct message *message)
{
    int64_t id = 0;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = change(book, a, &id, message);
    if (status == STATUS_OK)
        status = book_commit(book, message);
    else
        book_rollback(book);
    return status == STATUS_OK ? show(book, a, id, message) : status;
}

int sample_command(int argc, char **argv)
{
    struct arguments a = {.words = {.action = -1}};
    struct message message;
    struct book *book = NULL;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    bool reads = (a.words.action == DO_LIST && !a.assess) || a.words.action == DO_SHOW;
    enum status status = desk_open(a.words.book, reads ? BOOK_READ : BOOK_WRITE, &book, &message);
    if (status == STATUS_OK)
        status = a.words.action == DO_LIST     ? list(book, &a, &message)
                 : a.words.action == DO_SHOW   ? show(book, &a, 0, &message)
                 : a.words.action == DO_REMOVE ? take_away(book, &a, &message)
                                               : change_and_show(book, &a, &message);
    book_close(book);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
