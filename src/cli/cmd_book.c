#include "cli/commands.h"

#include "base/json_value.h"
#include "cli/book_transfer.h"
#include "cli/desk.h"
#include "cli/values.h"

const char book_about[] =
    "A book is the one file that holds all that a workshop has tested: samples with their labels, rigs, runs with\n"
    "every reading as it came, marks, findings. docs/book.md tells what is in it.\n\n"
    "new: makes an empty book.\n"
    "check: reads every page, every reading and every summary again, and names what is not as it should be.\n"
    "backup: copies the book while others may go on writing to it. A plain copy of the file may miss what is still\n"
    "in the -wal file beside it.\n"
    "export: everything as a folder of open formats (CSV with every digit, JSON, pictures); nothing is replaced.\n"
    "import: makes from such a folder the book that it came from.\n\n"
    "  rundown book new workshop.book\n"
    "  rundown book check workshop.book\n"
    "  rundown book backup workshop.book 2026-11-25.book\n"
    "  rundown book export workshop.book workshop-2026\n"
    "  rundown book import workshop-2026 again.book\n\n"
    "The exit status of check is 3 when something was found.";

enum { OPT_JSON };

const struct option_spec book_command_options[] = {
    [OPT_JSON] = {"json", NULL, "print what was done or found as JSON"},
    {NULL, NULL, NULL},
};

enum { DO_NEW, DO_CHECK, DO_BACKUP, DO_EXPORT, DO_IMPORT };

static const struct desk_action actions[] = {
    [DO_NEW] = {"new", NULL}, [DO_CHECK] = {"check", NULL}, [DO_BACKUP] = {"backup", "COPY"},
    [DO_EXPORT] = {"export", "FOLDER"}, [DO_IMPORT] = {"import", "BOOK"}, {NULL, NULL}};

struct arguments {
    struct desk_words words;
    bool json;
};

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = book_command_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;) {
        if (k == OPTION_FAULT)
            return message->status;
        if (k == OPTION_WORD)
            status = desk_take_word(&a->words, "book", actions, value, message);
        else
            a->json = true;
    }
    return status == STATUS_OK ? desk_want_words(&a->words, "book", actions, message) : status;
}

static enum status print_made(const struct arguments *a, const char *what, const char *path, struct message *message)
{
    struct text text = TEXT_EMPTY;
    if (a->json) {
        json_t *all = json_object();
        json_put_words(all, "book", a->words.book);
        json_put_words(all, what, path);
        json_add_text(all, false, &text);
        text_add(&text, "\n");
        json_decref(all);
    } else {
        text_addf(&text, "%s %s\n", what, path);
    }
    enum status status = desk_print(&text, message);
    text_free(&text);
    return status;
}

static enum status make_new(const struct arguments *a, struct message *message)
{
    struct book *book = NULL;
    struct book_options options = {.access = BOOK_WRITE};
    enum status status = book_create(a->words.book, &options, &book, message);
    book_close(book);
    return status == STATUS_OK ? print_made(a, "made", a->words.book, message) : status;
}

static enum status back_up(const struct arguments *a, struct message *message)
{
    struct book *book = NULL;
    struct progress progress = {"copying", -1};
    enum status status = desk_open(a->words.book, BOOK_READ, &book, message);
    if (status == STATUS_OK)
        status = book_backup(book, a->words.object, progress_function(a->json), &progress, message);
    book_close(book);
    return status == STATUS_OK ? print_made(a, "copied to", a->words.object, message) : status;
}

struct found {
    struct text text;
    json_t *list;
    struct progress progress;
};

static void show_progress(void *context, double share)
{
    struct found *found = context;
    progress_show(&found->progress, share);
}

static void add_fault(void *context, const char *fault)
{
    struct found *found = context;
    text_addf(&found->text, "%s\n", fault);
    json_array_append_new(found->list, json_words(fault));
}

/* A book of an older form is brought up to date first, which opening it for writing does. */
static enum status open_for_check(const char *path, struct book **ret_book, struct message *message)
{
    struct message other;
    enum status status = desk_open(path, BOOK_READ, ret_book, message);
    return status == STATUS_OK || desk_open(path, BOOK_WRITE, ret_book, &other) != STATUS_OK ? status : STATUS_OK;
}

static enum status print_found(const struct arguments *a, struct found *found, long faults, struct message *message)
{
    if (a->json) {
        json_t *all = json_object();
        json_put_words(all, "book", a->words.book);
        json_put(all, "sound", json_boolean(faults == 0));
        json_put(all, "faults", json_incref(found->list));
        found->text.length = 0;
        json_add_text(all, false, &found->text);
        text_add(&found->text, "\n");
        json_decref(all);
    } else if (faults == 0) {
        text_add(&found->text, "sound: every page, every reading and every summary is as it should be\n");
    }
    enum status status = desk_print(&found->text, message);
    if (status != STATUS_OK || faults == 0)
        return status;
    status_fail(message, STATUS_UNREADABLE, "%ld fault%s found", faults, faults == 1 ? " was" : "s were");
    status_at(message, a->words.book, 0, 0);
    status_remedy(message, "keep the file as it is, and go back to the latest backup that is sound; what can still be "
                           "read can be saved with `rundown book export`");
    return STATUS_UNREADABLE;
}

static enum status check(const struct arguments *a, struct message *message)
{
    struct found found = {TEXT_EMPTY, json_array(), {"checking", -1}};
    struct book *book = NULL;
    long faults = 0;
    enum status status = open_for_check(a->words.book, &book, message);
    if (status == STATUS_OK)
        status = book_check(book, add_fault, progress_function(a->json) != NULL ? show_progress : NULL, &found, &faults,
                            message);
    if (status == STATUS_OK)
        status = print_found(a, &found, faults, message);
    book_close(book);
    json_decref(found.list);
    text_free(&found.text);
    return status;
}

int book_command(int argc, char **argv)
{
    struct arguments a = {.words = {.action = -1}};
    struct message message;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    enum status status = STATUS_OK;
    switch (a.words.action) {
    case DO_NEW: status = make_new(&a, &message); break;
    case DO_CHECK: status = check(&a, &message); break;
    case DO_EXPORT: status = book_transfer_export(a.words.book, a.words.object, a.json, &message); break;
    case DO_IMPORT: status = book_transfer_import(a.words.book, a.words.object, a.json, &message); break;
    default: status = back_up(&a, &message); break;
    }
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
