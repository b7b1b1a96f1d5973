#include "cli/outputs.h"

#include "base/output.h"
#include "report/explain.h"
#include "report/json.h"
#include "report/missing_words.h"
#include "report/page.h"
#include "report/pictured.h"
#include "report/reply.h"
#include "report/sheet.h"
#include "report/signs.h"
#include "report/terminal.h"

#include <sys/ioctl.h>
#include <unistd.h>

static bool ends_with(const char *s, const char *end)
{
    size_t n = strlen(s), m = strlen(end);
    return n >= m && strcmp(s + n - m, end) == 0;
}

static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash != NULL ? slash + 1 : path;
}

/* The curve when the file's name says so, else the ladder. */
static enum status write_figure(const struct outputs *outputs, const struct assessment *assessment, const char *path,
                                struct message *message)
{
    bool vector = ends_with(path, ".svg"), curve = strstr(file_name(path), "curve") != NULL;
    if (!vector && !ends_with(path, ".png")) {
        status_fail(message, STATUS_USAGE, "a figure is written as .svg or .png, not '%s'", file_name(path));
        return status_remedy(message, "give a name such as ladder.svg or curve.png");
    }
    struct text picture = TEXT_EMPTY;
    enum status status = pictured_make(assessment, &outputs->publishing, curve ? PICTURED_CURVE : PICTURED_LADDER,
                                       vector ? PICTURE_SVG : PICTURE_PNG, PICTURED_WIDTH, &picture, message);
    if (status != STATUS_OK) {
        status_at(message, path, 0, 0);
        return curve ? status : status_remedy(message, "give them with --label FILE, or a name with `curve` in it for the curve");
    }
    status = output_save(path, &picture, message);
    text_free(&picture);
    return status;
}

static enum status write_files(const struct outputs *outputs, const struct assessment *assessment,
                               struct message *message)
{
    enum status status = STATUS_OK;
    if (outputs->sheet != NULL)
        status = sheet_write(assessment, &outputs->publishing, outputs->sheet, message);
    if (status == STATUS_OK && outputs->page != NULL) {
        struct text html = TEXT_EMPTY;
        page_html(assessment, &outputs->publishing, &html);
        status = output_save(outputs->page, &html, message);
        text_free(&html);
    }
    for (int k = 0; k < outputs->figure_count && status == STATUS_OK; k++)
        status = write_figure(outputs, assessment, outputs->figures[k], message);
    return status;
}

static struct terminal_form form_of(const struct outputs *outputs)
{
    struct terminal_form form = {.width = 100};
    bool terminal = isatty(STDOUT_FILENO) == 1;
    struct winsize size;
    if (terminal && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col >= 60)
        form.width = size.ws_col < 140 ? size.ws_col : 140;
    const char *no_colour = getenv("NO_COLOR");
    bool wanted = terminal && (no_colour == NULL || no_colour[0] == '\0');
    form.colour = outputs->colour == 1 || (outputs->colour == 0 && wanted);
    return form;
}

static enum status write_words(const struct outputs *outputs, const struct assessment *assessment, struct text *text,
                               struct message *message)
{
    struct terminal_form form = form_of(outputs);
    enum status status = STATUS_OK;
    if (outputs->json) {
        json_assessment(assessment, text);
        return STATUS_OK;
    }
    if (outputs->explain != NULL)
        status = explain_finding(assessment, outputs->explain, form.width, text, message);
    if (status == STATUS_OK && outputs->reply != NULL)
        status = reply_card(assessment, outputs->reply, form.width, text, message);
    if (outputs->missing)
        missing_print(assessment, form.width, text);
    if (outputs->columns)
        terminal_columns(assessment, true, text);
    if (outputs->explain == NULL && outputs->reply == NULL && !outputs->missing && !outputs->columns)
        terminal_assessment(assessment, &form, text);
    struct signs signs = signs_of(assessment, outputs->publishing.comma);
    if (text->length > 0)
        signs_set(&signs, text->s);
    signs_free(&signs);
    return status;
}

enum status outputs_write(const struct outputs *outputs, const struct assessment *assessment, struct message *message)
{
    if (!outputs->quiet && !outputs->columns) {
        struct text columns = TEXT_EMPTY;
        terminal_columns(assessment, false, &columns);
        fputs(text_string(&columns), stderr);
        text_free(&columns);
    }
    struct text text = TEXT_EMPTY;
    enum status status = write_words(outputs, assessment, &text, message);
    if (status == STATUS_OK)
        status = write_files(outputs, assessment, message);
    if (status == STATUS_OK && (fputs(text_string(&text), stdout) == EOF || fflush(stdout) == EOF)) {
        status_fail(message, STATUS_UNREADABLE, "standard output cannot be written");
        status = STATUS_UNREADABLE;
    }
    text_free(&text);
    return status;
}
