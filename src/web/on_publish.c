/* What leaves the workshop: the sheet, the page, figures, replies; and what is missing first. */
#include "report/missing_words.h"
#include "report/page.h"
#include "report/pictured.h"
#include "report/reply.h"
#include "report/sheet.h"
#include "web/areas.h"
#include "web/published.h"

enum { PAGE_PIXELS = 1190, LEAST_PIXELS = 200, MOST_PIXELS = 2400 };

/* "Sample 014 sheet.pdf", to be saved under. */
static void name_file(struct http_reply *reply, const struct published *published, const char *ending)
{
    char clean[96];
    span_copy(span_of(published->assessment->label.sample), clean, sizeof clean);
    for (char *p = clean; *p != '\0'; p++)
        *p = strchr("/\\\":*?<>|", *p) != NULL ? '-' : *p;
    snprintf(reply->file_name, sizeof reply->file_name, "%s %s", clean[0] != '\0' ? clean : "sample", ending);
}

static bool to_save(const struct http_request *request)
{
    const char *save = http_query(request, "save");
    return save != NULL && strcmp(save, "yes") == 0;
}

static void on_sheet(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct published published;
    if (!published_begin(&published, context, request, reply))
        return;
    enum status status = published_pictures(&published);
    if (status == STATUS_OK)
        status = sheet_render(published.assessment, &published.publishing, &reply->body, &published.message);
    if (status == STATUS_OK)
        reply->type = "application/pdf";
    if (status == STATUS_OK && to_save(request))
        name_file(reply, &published, "sheet.pdf");
    published_end(&published, status);
}

static void on_sheet_page(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct published published;
    double page = NAN, pixels = NAN;
    int pages = 0;
    if (!published_begin(&published, context, request, reply))
        return;
    enum status status = http_number("page", request->parts[1], 1, 999, NAN, &page, &published.message);
    if (status == STATUS_OK)
        status = published_pictures(&published);
    if (status == STATUS_OK)
        status = http_number("width", http_query(request, "width"), LEAST_PIXELS, MOST_PIXELS, PAGE_PIXELS, &pixels,
                             &published.message);
    if (status == STATUS_OK)
        status = sheet_picture(published.assessment, &published.publishing, (int)page, (int)pixels, &reply->body, &pages,
                               &published.message);
    if (status == STATUS_OK)
        reply->type = "image/png";
    published_end(&published, status);
}

static void on_page(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct published published;
    if (!published_begin(&published, context, request, reply))
        return;
    enum status status = published_pictures(&published);
    if (status == STATUS_OK) {
        page_html(published.assessment, &published.publishing, &reply->body);
        reply->type = "text/html; charset=utf-8";
        reply->apart = true;
        if (to_save(request))
            name_file(reply, &published, "page.html");
    }
    published_end(&published, status);
}

static void on_figure(void *context, const struct http_request *request, struct http_reply *reply)
{
    static const struct figure_file {
        const char *name;
        enum pictured what;
        enum picture_form form;
    } files[] = {
        {"ladder.svg", PICTURED_LADDER, PICTURE_SVG}, {"ladder.png", PICTURED_LADDER, PICTURE_PNG},
        {"curve.svg", PICTURED_CURVE, PICTURE_SVG},   {"curve.png", PICTURED_CURVE, PICTURE_PNG},
    };
    const struct figure_file *file = NULL;
    for (size_t k = 0; k < sizeof files / sizeof *files; k++)
        if (strcmp(request->parts[1], files[k].name) == 0)
            file = &files[k];
    if (file == NULL) {
        http_refuse(reply, 404, "There is no figure of that name; there are ladder and curve, as .svg and as .png");
        return;
    }
    struct published published;
    double width = NAN;
    if (!published_begin(&published, context, request, reply))
        return;
    enum status status = http_number("width", http_query(request, "width"), PICTURED_LEAST, PICTURED_MOST, PICTURED_WIDTH,
                                     &width, &published.message);
    if (status == STATUS_OK)
        status = pictured_make(published.assessment, &published.publishing, file->what, file->form, width, &reply->body,
                               &published.message);
    if (status == STATUS_OK) {
        reply->type = file->form == PICTURE_PNG ? "image/png" : "image/svg+xml";
        reply->apart = true;
        name_file(reply, &published, file->name);
    }
    published_end(&published, status);
}

static void on_replies(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct published published;
    if (!published_begin(&published, context, request, reply))
        return;
    http_json(reply, json_replies(published.assessment, published.publishing.comma));
    published_end(&published, STATUS_OK);
}

static void on_missing(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct published published;
    if (!published_begin(&published, context, request, reply))
        return;
    http_json(reply, json_missing(published.assessment, published.publishing.comma));
    published_end(&published, STATUS_OK);
}

static void on_choices(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct published published;
    int pages = 0;
    if (!published_begin(&published, context, request, reply))
        return;
    enum status status = published_pictures(&published);
    if (status == STATUS_OK)
        status = sheet_picture(published.assessment, &published.publishing, 0, 0, NULL, &pages, &published.message);
    if (status == STATUS_OK)
        http_json(reply, published_json(&published, pages));
    published_end(&published, status);
}

const struct http_route publish_routes[] = {
    {.method = "GET", .pattern = "/api/samples/{}/publishing", .role = HTTP_READER, .answer = on_choices},
    {.method = "GET", .pattern = "/api/samples/{}/sheet.pdf", .role = HTTP_READER, .answer = on_sheet},
    {.method = "GET", .pattern = "/api/samples/{}/sheet/{}", .role = HTTP_READER, .answer = on_sheet_page},
    {.method = "GET", .pattern = "/api/samples/{}/page.html", .role = HTTP_READER, .answer = on_page},
    {.method = "GET", .pattern = "/api/samples/{}/figures/{}", .role = HTTP_READER, .answer = on_figure},
    {.method = "GET", .pattern = "/api/samples/{}/replies", .role = HTTP_READER, .answer = on_replies},
    {.method = "GET", .pattern = "/api/samples/{}/missing", .role = HTTP_READER, .answer = on_missing},
    {0},
};
