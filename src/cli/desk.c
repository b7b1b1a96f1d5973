#include "cli/desk.h"

#include "base/number.h"
#include "base/clock.h"
#include "base/nearest.h"
#include "claims/paper_check.h"
#include "intake/ini.h"

#include <unistd.h>

enum { ACTIONS = 8 };

enum status desk_open(const char *path, enum book_access access, struct book **ret_book, struct message *message)
{
    struct book_options options = {.access = access};
    return book_open(path, &options, ret_book, message);
}

int64_t desk_utc_ns(void)
{
    struct clock clock = clock_machine();
    return clock.utc_ns(clock.context);
}

static bool of_workshop(enum document_kind kind)
{
    return kind == DOCUMENT_RIG || kind == DOCUMENT_LOADS;
}

enum status desk_read_paper(enum document_kind kind, const char *path, struct desk_paper *ret_paper,
                            struct message *message)
{
    struct desk_paper paper = {.text = TEXT_EMPTY};
    const char *slash = strrchr(path, '/'), *file = slash != NULL ? slash + 1 : path;
    struct notices notices = {0};
    enum status status = ini_load(path, &paper.text, message);
    enum paper_form form;
    if (status == STATUS_OK && paper_has_form(kind, &form))
        status = paper_judge(form, path, (struct span){text_string(&paper.text), paper.text.length},
                             &notices, message);
    notices_free(&notices);
    span_copy(span_of(of_workshop(kind) ? file : document_kind_words[kind]), paper.name, sizeof paper.name);
    if (status == STATUS_OK)
        *ret_paper = paper;
    else
        text_free(&paper.text);
    return status;
}

enum status desk_put_paper(struct book *book, int64_t sample, enum document_kind kind, const char *path,
                           int64_t *ret_id, struct message *message)
{
    struct desk_paper paper;
    enum status status = desk_read_paper(kind, path, &paper, message);
    if (status != STATUS_OK)
        return status;
    status = document_put(book, of_workshop(kind) ? 0 : sample, kind, paper.name,
                          (struct span){text_string(&paper.text), paper.text.length}, desk_utc_ns(), ret_id, message);
    text_free(&paper.text);
    return status;
}

enum status desk_ask(const char *what, bool yes, struct message *message)
{
    char answer[16] = "";
    if (yes)
        return STATUS_OK;
    if (isatty(STDIN_FILENO) != 1) {
        status_fail(message, STATUS_USAGE, "this removes %s for good, and nobody is there to be asked", what);
        status_remedy(message, "say so with --yes");
        return STATUS_USAGE;
    }
    fprintf(stderr, "This removes %s for good. Go on? [y/N] ", what);
    if (fgets(answer, sizeof answer, stdin) != NULL && (answer[0] == 'y' || answer[0] == 'Y'))
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "nothing was removed");
    return STATUS_USAGE;
}

void desk_time(double utc_s, bool marked, char buffer[static DESK_TIME])
{
    char time[NUMBER_INSTANT];
    number_print_instant(utc_s, time);
    snprintf(buffer, DESK_TIME, "%.10s %s%s", time, time[0] != '\0' ? time + 11 : "", marked ? "Z" : "");
    if (time[0] == '\0')
        buffer[0] = '\0';
}

enum status desk_print(const struct text *text, struct message *message)
{
    if (fputs(text_string(text), stdout) != EOF && fflush(stdout) != EOF)
        return STATUS_OK;
    status_fail(message, STATUS_UNREADABLE, "standard output cannot be written");
    return STATUS_UNREADABLE;
}

static enum status unknown_action(const char *command, const struct desk_action *actions, const char *word,
                                  struct message *message)
{
    const char *known[ACTIONS + 1] = {NULL};
    char list[160];
    for (size_t k = 0; k < ACTIONS && actions[k].name != NULL; k++)
        known[k] = actions[k].name;
    const char *near = word != NULL ? name_nearest(span_of(word), known) : NULL;
    name_list(known, list, sizeof list);
    if (word != NULL)
        status_fail(message, STATUS_USAGE, "%s cannot '%s'", command, word);
    else
        status_fail(message, STATUS_USAGE, "what is %s to do?", command);
    if (near != NULL)
        status_remedy(message, "did you mean '%s'?", near);
    else
        status_remedy(message, "one of: %s; see `rundown %s --help`", list, command);
    return STATUS_USAGE;
}

enum status desk_take_word(struct desk_words *words, const char *command, const struct desk_action *actions,
                           const char *word, struct message *message)
{
    for (int k = 0; words->action < 0 && actions[k].name != NULL; k++) {
        if (strcmp(actions[k].name, word) != 0)
            continue;
        words->action = k;
        return STATUS_OK;
    }
    if (words->action < 0)
        return unknown_action(command, actions, word, message);
    const char **place = words->book == NULL                                              ? &words->book
                         : words->object == NULL && actions[words->action].object != NULL ? &words->object
                                                                                          : NULL;
    if (place != NULL) {
        *place = word;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "%s %s takes no further word '%s'", command, actions[words->action].name, word);
    status_remedy(message, "a name with blanks needs quotes; see `rundown %s --help`", command);
    return STATUS_USAGE;
}

enum status desk_want_words(const struct desk_words *words, const char *command, const struct desk_action *actions,
                            struct message *message)
{
    if (words->action < 0)
        return unknown_action(command, actions, NULL, message);
    const struct desk_action *action = &actions[words->action];
    if (words->book != NULL && (words->object != NULL || action->object == NULL))
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "%s %s needs %s", command, action->name,
                words->book == NULL ? "a book" : action->object);
    status_remedy(message, "write `rundown %s %s BOOK%s%s`", command, action->name, action->object != NULL ? " " : "",
                  action->object != NULL ? action->object : "");
    return STATUS_USAGE;
}
