#include "cli/commands.h"

#include "base/number.h"
#include "cli/desk.h"
#include "cli/run_words.h"

const char run_about[] =
    "A run is one recorded or imported test. It is named by its number, which is never given twice.\n\n"
    "list: all runs, or those of one sample, in the order of their start.\n"
    "show: one run with its instruments, what their readings come to, and what happened.\n"
    "correct: its name, kind, sample, label or rig. What stood before is kept and shown; readings are never altered.\n"
    "remove: the run with all its readings; asks first.\n\n"
    "  rundown run list workshop.book --sample hut-pack-14\n"
    "  rundown run show workshop.book 12\n"
    "  rundown run correct workshop.book 12 --kind charge --rig bench.rig\n"
    "  rundown run remove workshop.book 12\n"
    "  rundown assess workshop.book:12                       findings and verdicts of a run";

enum { OPT_SAMPLE, OPT_NAME, OPT_KIND, OPT_LABEL, OPT_RIG, OPT_YES, OPT_JSON };

const struct option_spec run_options[] = {
    [OPT_SAMPLE] = {"sample", "NAME", "list: of this sample alone; correct: the sample that was tested"},
    [OPT_NAME] = {"name", "NAME", "correct: what the run is called"},
    [OPT_KIND] = {"kind", "KIND", "correct: discharge, charge, rest, protection, or whole: a test of several parts"},
    [OPT_LABEL] = {"label", "FILE", "correct: the label it was tested under (docs/label.md)"},
    [OPT_RIG] = {"rig", "FILE", "correct: the rig it was tested with (docs/rig.md)"},
    [OPT_YES] = {"yes", NULL, "remove: do not ask"},
    [OPT_JSON] = {"json", NULL, "print as JSON (docs/book.md)"},
    {NULL, NULL, NULL},
};

enum { DO_LIST, DO_SHOW, DO_CORRECT, DO_REMOVE };

static const struct desk_action actions[] = {[DO_LIST] = {"list", NULL},
                                             [DO_SHOW] = {"show", "NUMBER"},
                                             [DO_CORRECT] = {"correct", "NUMBER"},
                                             [DO_REMOVE] = {"remove", "NUMBER"},
                                             {NULL, NULL}};

struct arguments {
    struct desk_words words;
    const char *sample, *name, *kind, *label, *rig;
    bool yes, json;
    int64_t run;
};

static enum status take(struct arguments *a, int option, const char *value, struct message *message)
{
    switch (option) {
    case OPTION_WORD: return desk_take_word(&a->words, "run", actions, value, message);
    case OPT_SAMPLE: a->sample = value; break;
    case OPT_NAME: a->name = value; break;
    case OPT_KIND: a->kind = value; break;
    case OPT_LABEL: a->label = value; break;
    case OPT_RIG: a->rig = value; break;
    case OPT_YES: a->yes = true; break;
    default: a->json = true;
    }
    return STATUS_OK;
}

static enum status judge(struct arguments *a, struct message *message)
{
    bool correct = a->words.action == DO_CORRECT, list = a->words.action == DO_LIST;
    bool more = a->name != NULL || a->kind != NULL || a->label != NULL || a->rig != NULL;
    const char *stray = more && !correct                                   ? "a correction"
                        : a->sample != NULL && !correct && !list           ? "--sample"
                        : a->yes && a->words.action != DO_REMOVE             ? "--yes"
                                                                           : NULL;
    double number = 0;
    if (stray != NULL)
        status_fail(message, STATUS_USAGE, "run %s has no use for %s", actions[a->words.action].name, stray);
    else if (correct && !more && a->sample == NULL)
        status_fail(message, STATUS_USAGE, "what is to be corrected?");
    else if (!list && (!number_is(span_of(a->words.object), '.', &number) || !(number >= 1 && number < 1e15) ||
                       number != floor(number)))
        status_fail(message, STATUS_USAGE, "a run is named by its number, not '%s'", a->words.object);
    else {
        a->run = (int64_t)number;
        return STATUS_OK;
    }
    status_remedy(message, correct && !more ? "give --name, --kind, --sample, --label or --rig"
                                            : "`rundown run list BOOK` shows the runs; see `rundown run --help`");
    return STATUS_USAGE;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = run_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;)
        status = k == OPTION_FAULT ? message->status : take(a, k, value, message);
    if (status == STATUS_OK)
        status = desk_want_words(&a->words, "run", actions, message);
    return status == STATUS_OK ? judge(a, message) : status;
}

static enum status show(struct book *book, const struct arguments *a, struct message *message)
{
    struct book_run run;
    struct text text = TEXT_EMPTY;
    enum status status = book_run_get(book, a->run, &run, message);
    if (status == STATUS_OK)
        status = run_show_text(book, &run, a->json, &text, message);
    if (status == STATUS_OK)
        status = desk_print(&text, message);
    text_free(&text);
    return status;
}

static enum status print_list(const struct arguments *a, const struct book_run_list *runs,
                              const struct book_sample_list *samples, struct message *message)
{
    struct text text = TEXT_EMPTY;
    if (a->json) {
        json_t *all = json_object();
        json_put(all, "runs", run_list_json(runs, samples));
        json_add_text(all, false, &text);
        text_add(&text, "\n");
        json_decref(all);
    } else {
        run_list_words(runs, samples, 0, &text);
    }
    enum status status = desk_print(&text, message);
    if (status == STATUS_OK && runs->count == 0 && !a->json)
        fprintf(stderr, "no runs yet: `rundown record` and `rundown import` make them\n");
    text_free(&text);
    return status;
}

static enum status list(struct book *book, const struct arguments *a, struct message *message)
{
    struct book_sample sample = {0};
    struct book_sample_list samples = {0};
    struct book_run_list runs = {0};
    enum status status = a->sample != NULL ? book_sample_find(book, a->sample, &sample, message) : STATUS_OK;
    if (status == STATUS_OK)
        status = book_samples(book, &samples, message);
    if (status == STATUS_OK)
        status = book_runs(book, sample.id, &runs, message);
    if (status == STATUS_OK)
        status = print_list(a, &runs, &samples, message);
    book_run_list_free(&runs);
    book_sample_list_free(&samples);
    return status;
}

static enum status correct_number(struct book *book, const struct arguments *a, const char *field, int64_t number,
                                  struct message *message)
{
    char value[24];
    snprintf(value, sizeof value, "%lld", (long long)number);
    return book_run_correct(book, a->run, field, value, desk_utc_ns(), message);
}

static enum status correct_paper(struct book *book, const struct arguments *a, int64_t sample, enum document_kind kind,
                                 const char *path, struct message *message)
{
    int64_t id = 0;
    enum status status = desk_put_paper(book, sample, kind, path, &id, message);
    return status == STATUS_OK ? correct_number(book, a, document_kind_words[kind], id, message) : status;
}

/* The sample first: a label then belongs to the right one. */
static enum status correct(struct book *book, const struct arguments *a, struct message *message)
{
    struct book_run run;
    struct book_sample sample;
    enum status status = book_run_get(book, a->run, &run, message);
    if (status == STATUS_OK && a->sample != NULL) {
        status = book_sample_find(book, a->sample, &sample, message);
        if (status == STATUS_OK)
            status = correct_number(book, a, "sample", run.sample = sample.id, message);
    }
    if (status == STATUS_OK && a->name != NULL)
        status = book_run_correct(book, a->run, "name", a->name, desk_utc_ns(), message);
    if (status == STATUS_OK && a->kind != NULL)
        status = book_run_correct(book, a->run, "kind", a->kind, desk_utc_ns(), message);
    if (status == STATUS_OK && a->label != NULL)
        status = correct_paper(book, a, run.sample, DOCUMENT_LABEL, a->label, message);
    if (status == STATUS_OK && a->rig != NULL)
        status = correct_paper(book, a, run.sample, DOCUMENT_RIG, a->rig, message);
    return status;
}

static enum status correct_and_show(struct book *book, const struct arguments *a, struct message *message)
{
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = correct(book, a, message);
    if (status == STATUS_OK)
        status = book_commit(book, message);
    else
        book_rollback(book);
    return status == STATUS_OK ? show(book, a, message) : status;
}

static enum status take_away(struct book *book, const struct arguments *a, struct message *message)
{
    struct book_run run;
    char what[BOOK_NAME + 64];
    enum status status = book_run_get(book, a->run, &run, message);
    if (status != STATUS_OK)
        return status;
    snprintf(what, sizeof what, "run %lld, %s, with all its readings", (long long)run.id, run.name);
    status = desk_ask(what, a->yes, message);
    return status == STATUS_OK ? book_run_remove(book, a->run, message) : status;
}

int run_command(int argc, char **argv)
{
    struct arguments a = {.words = {.action = -1}};
    struct message message;
    struct book *book = NULL;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    bool reads = a.words.action == DO_LIST || a.words.action == DO_SHOW;
    enum status status = desk_open(a.words.book, reads ? BOOK_READ : BOOK_WRITE, &book, &message);
    if (status == STATUS_OK)
        status = a.words.action == DO_LIST      ? list(book, &a, &message)
                 : a.words.action == DO_SHOW    ? show(book, &a, &message)
                 : a.words.action == DO_CORRECT ? correct_and_show(book, &a, &message)
                                                : take_away(book, &a, &message);
    book_close(book);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
