#include "web/areas.h"

#include "base/nearest.h"
#include "bench/recorder.h"
#include "claims/paper_check.h"
#include "intake/log.h"

/* A text that is being typed, not kept: papers, a line of the bench, the choice of a log's column. */
enum { TEXT_LIMIT = 1 << 20 };

static json_t *line_json(long line, const char *kind, const char *taken)
{
    json_t *one = json_object();
    json_put(one, "line", json_integer(line));
    json_put_words(one, "kind", kind);
    json_put_words(one, "taken", taken);
    return one;
}

static json_t *answer_of(json_t *faults, bool more, json_t *notices, json_t *lines)
{
    json_t *all = json_object();
    json_t *first = json_array_get(faults, 0);
    json_put(all, "fault", first != NULL ? json_incref(first) : json_null());
    json_put(all, "faults", faults);
    json_put(all, "more_faults", json_boolean(more));
    json_put(all, "notices", notices);
    json_put(all, "lines", lines);
    return all;
}

static json_t *check_paper(enum paper_form form, struct span text)
{
    struct paper_check check;
    json_t *faults = json_array(), *lines = json_array();
    paper_check(form, "", text, &check);
    for (size_t k = 0; k < check.fault_count; k++)
        json_array_append_new(faults, json_message(&check.faults[k]));
    for (size_t k = 0; k < check.line_count; k++)
        json_array_append_new(lines, line_json(check.lines[k].line, check.lines[k].kind, check.lines[k].taken));
    json_t *all = answer_of(faults, check.more_faults, json_notices(&check.notices), lines);
    paper_check_free(&check);
    return all;
}

/* A line as it is said while a test runs. */
static enum status check_line(const char *text, struct text *taken, struct message *message)
{
    struct instant instant;
    enum status status = recorder_line(span_of(text), &instant, message);
    if (status == STATUS_OK) {
        paper_instant_words(&instant, taken);
        instant_free(&instant);
    }
    return status;
}

/* `current=2:mA`, as for `rundown import --column`. */
static enum status check_column(const char *text, struct text *taken, struct message *message)
{
    struct column_wish wish;
    enum status status = column_wish_read(text, &wish, message);
    if (status == STATUS_OK)
        text_addf(taken, "column %s: %s%s%s", wish.name, role_name(wish.role, wish.channel),
                  wish.detail[0] != '\0' ? ", in " : "", wish.detail);
    return status;
}

static json_t *check_short(bool column, struct span text)
{
    char line[512];
    struct text taken = TEXT_EMPTY;
    struct message message = {0};
    span_copy(span_trim(text), line, sizeof line);
    enum status status = column ? check_column(line, &taken, &message) : check_line(line, &taken, &message);
    json_t *faults = json_array(), *lines = json_array();
    if (status != STATUS_OK)
        json_array_append_new(faults, json_message(&message));
    json_array_append_new(lines, line_json(1, status != STATUS_OK ? "fault" : column ? "column" : "reading",
                                           text_string(&taken)));
    text_free(&taken);
    return answer_of(faults, false, json_array(), lines);
}

static void answer_check(void *context, const struct http_request *request, struct http_reply *reply)
{
    const char *what = request->parts[0];
    int form = 0;
    while (form < PAPER_FORMS && strcmp(paper_form_words[form], what) != 0)
        form++;
    if (form < PAPER_FORMS)
        http_json(reply, check_paper((enum paper_form)form, request->body));
    else if (strcmp(what, "line") == 0 || strcmp(what, "column") == 0)
        http_json(reply, check_short(strcmp(what, "column") == 0, request->body));
    else
        http_refuse(reply, 404, "'%.40s' is no text that is checked: label, rig, loads, plan, opened, readings, line, column",
                    what);
}

const struct http_route check_routes[] = {
    {"POST", "/api/check/{}", HTTP_READER, TEXT_LIMIT, HTTP_PLAIN, answer_check},
    {0},
};
