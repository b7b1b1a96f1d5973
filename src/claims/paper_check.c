#include "claims/paper_taken.h"

#include "base/memory.h"
#include "claims/plan.h"
#include "intake/readings.h"
#include "intake/rig_file.h"
#include "teardown/opened.h"

const char *const paper_form_words[PAPER_FORMS + 1] = {"label", "rig", "loads", "plan", "readings", "opened", NULL};

bool paper_has_form(enum document_kind kind, enum paper_form *ret_form)
{
    static const enum paper_form forms[DOCUMENT_KINDS] = {
        [DOCUMENT_LABEL] = PAPER_LABEL, [DOCUMENT_RIG] = PAPER_RIG,     [DOCUMENT_LOADS] = PAPER_LOADS,
        [DOCUMENT_PLAN] = PAPER_PLAN,   [DOCUMENT_NOTE] = PAPER_FORMS, [DOCUMENT_OPENED] = PAPER_OPENED,
        [DOCUMENT_SUMMARY] = PAPER_FORMS,
    };
    if (forms[kind] == PAPER_FORMS)
        return false;
    *ret_form = forms[kind];
    return true;
}

/* Beyond this only the first fault is looked for: somebody pasted a log, and waits. */
static const size_t search_bytes = 65536;

/* What is being read, and what to do with it once it was readable: `check` NULL judges alone. */
struct reading {
    enum paper_form form;
    const char *name;
    struct span text;
    struct notices *notices;
    struct message *message;
    struct paper_check *check;
};

static enum status read_label(const struct reading *r)
{
    struct label label = label_empty();
    enum status status = label_read_text(r->name, r->text, &label, r->notices, r->message);
    if (status == STATUS_OK) {
        label_check(&label, r->notices);
        if (r->check != NULL)
            paper_taken_label(&label, r->text, r->check);
        label_free(&label);
    }
    return status;
}

static enum status read_rig(const struct reading *r)
{
    struct rig rig = rig_default();
    enum status status = rig_read_text(r->name, r->text, &rig, r->notices, r->message);
    if (status == STATUS_OK && r->check != NULL)
        paper_taken_rig(&rig, r->text, r->check);
    return status;
}

static enum status read_loads(const struct reading *r)
{
    struct loads loads = {0};
    enum status status = loads_read_text(r->name, r->text, &loads, r->message);
    if (status != STATUS_OK)
        return status;
    if (r->check != NULL)
        paper_taken_loads(&loads, r->text, r->check);
    loads_free(&loads);
    return STATUS_OK;
}

static enum status read_plan(const struct reading *r)
{
    struct plan plan = {0};
    enum status status = plan_read_text(r->name, r->text, &plan, r->message);
    if (status != STATUS_OK)
        return status;
    if (r->check != NULL)
        paper_taken_settings(r->text, r->check);
    plan_free(&plan);
    return STATUS_OK;
}

static enum status read_opened(const struct reading *r)
{
    struct opened opened = {0};
    enum status status = opened_read_text(r->name, r->text, &opened, r->message);
    if (status != STATUS_OK)
        return status;
    if (r->check != NULL)
        paper_taken_settings(r->text, r->check);
    opened_free(&opened);
    return STATUS_OK;
}

static enum status read_readings(const struct reading *r)
{
    struct sightings sightings = {0};
    enum status status = readings_read_text(r->name, r->text, &sightings, r->notices, r->message);
    if (status != STATUS_OK)
        return status;
    if (r->check != NULL)
        paper_taken_readings(&sightings, r->text, r->check);
    sightings_free(&sightings);
    return STATUS_OK;
}

static enum status read_form(const struct reading *r)
{
    switch (r->form) {
    case PAPER_LABEL: return read_label(r);
    case PAPER_RIG: return read_rig(r);
    case PAPER_LOADS: return read_loads(r);
    case PAPER_PLAN: return read_plan(r);
    case PAPER_OPENED: return read_opened(r);
    default: return read_readings(r);
    }
}

enum status paper_judge(enum paper_form form, const char *name, struct span text, struct notices *notices,
                        struct message *message)
{
    struct reading r = {.form = form, .name = name, .text = text, .notices = notices, .message = message};
    return read_form(&r);
}

/* Where a line starts, from 1; NULL when there are not so many. */
static char *line_start(char *text, size_t size, long line)
{
    char *p = text, *end = text + size;
    for (long k = 1; k < line && p != NULL; k++) {
        p = memchr(p, '\n', (size_t)(end - p));
        p = p != NULL ? p + 1 : NULL;
    }
    return p != NULL && p < end ? p : NULL;
}

/* Sets a line aside without moving those behind it. A section goes with all that stands in it, which would else be
 * taken for a part of the section before. False when there was nothing left of it. */
static bool set_aside(char *text, size_t size, long line)
{
    char *end = text + size, *p = line > 0 ? line_start(text, size, line) : NULL;
    bool any = false, section = p != NULL && *p == '[';
    if (p == NULL)
        return false;
    do {
        for (; p < end && *p != '\n'; p++) {
            any |= *p != ' ';
            *p = ' ';
        }
        p += p < end;
    } while (section && p < end && *p != '[');
    return any;
}

static bool at_fault(const struct paper_check *check, long line)
{
    for (size_t k = 0; k < check->fault_count; k++)
        if (check->faults[k].line == line)
            return true;
    return false;
}

static void add_fault(struct paper_check *check, const struct message *message)
{
    if (check->faults == NULL)
        check->faults = memory_get(PAPER_FAULTS * sizeof *check->faults);
    check->faults[check->fault_count++] = *message;
    if (message->line > 0) {
        struct text none = TEXT_EMPTY;
        paper_add_line(check, message->line, "fault", &none);
    }
}

static int by_number(const void *one, const void *two)
{
    long a = ((const struct paper_line *)one)->line, b = ((const struct paper_line *)two)->line;
    return a < b ? -1 : a > b;
}

void paper_check(enum paper_form form, const char *name, struct span text, struct paper_check *ret_check)
{
    struct paper_check check = {0};
    struct text rest = TEXT_EMPTY;
    text_add_bytes(&rest, text.p, text.n);
    size_t most = text.n <= search_bytes ? PAPER_FAULTS : 1;
    for (bool again = true; again;) {
        struct message message = {0};
        struct notices notices = {0};
        struct reading r = {form, name, {text_string(&rest), rest.length}, &notices, &message, &check};
        if (read_form(&r) == STATUS_OK) {
            check.notices = notices;
            break;
        }
        notices_free(&notices);
        /* what is missing from the whole may be among what was set aside */
        again = message.line > 0 && !at_fault(&check, message.line) && rest.length > 0;
        if (again || check.fault_count == 0)
            add_fault(&check, &message);
        again = again && set_aside(rest.s, rest.length, message.line);
        if (again && check.fault_count >= most) {
            check.more_faults = true;
            again = false;
        }
    }
    text_free(&rest);
    if (check.line_count > 0)
        qsort(check.lines, check.line_count, sizeof *check.lines, by_number);
    *ret_check = check;
}

void paper_check_free(struct paper_check *check)
{
    free(check->faults);
    for (size_t k = 0; k < check->line_count; k++)
        free(check->lines[k].taken);
    free(check->lines);
    notices_free(&check->notices);
    *check = (struct paper_check){0};
}
