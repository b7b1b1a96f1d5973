#include "http/http.h"

#include "base/number.h"

#include <math.h>
#include <stdarg.h>

const char *http_query(const struct http_request *request, const char *name)
{
    for (const struct http_pair *pair = request->query; pair != NULL && pair->name != NULL; pair++)
        if (strcmp(pair->name, name) == 0)
            return pair->value;
    return NULL;
}

static enum status no_number(const char *name, const char *text, double least, double most, struct message *message)
{
    return status_fail(message, STATUS_USAGE, "%.40s is '%.60s', which is no number from %.17g to %.17g", name, text,
                       least, most);
}

enum status http_number(const char *name, const char *text, double least, double most, double otherwise,
                        double *ret_number, struct message *message)
{
    if (text == NULL && !isnan(otherwise)) {
        *ret_number = otherwise;
        return STATUS_OK;
    }
    if (text == NULL)
        return status_fail(message, STATUS_USAGE, "%.40s is missing", name);
    double value = NAN;
    if (!number_is(span_of(text), '.', &value) || !(value >= least && value <= most))
        return no_number(name, text, least, most, message);
    *ret_number = value;
    return STATUS_OK;
}

enum status http_id(const char *text, int64_t *ret_id, struct message *message)
{
    int64_t id = 0;
    const char *p = text;
    for (; *p >= '0' && *p <= '9' && id < INT64_MAX / 16; p++)
        id = id * 10 + (*p - '0');
    if (p == text || *p != '\0' || id == 0 || *text == '0')
        return status_fail(message, STATUS_USAGE, "'%.60s' is no number of the book", text);
    *ret_id = id;
    return STATUS_OK;
}

enum status http_body_json(const struct http_request *request, json_t **ret_object, struct message *message)
{
    json_t *value = NULL;
    if (request->body.n == 0)
        return status_fail(message, STATUS_MALFORMED, "a JSON object is wanted as the body, and there is none");
    enum status status = json_parse("", 1, request->body, &value, message);
    if (status == STATUS_OK && !json_is_object(value)) {
        json_decref(value);
        return status_fail(message, STATUS_MALFORMED, "a JSON object is wanted as the body");
    }
    if (status == STATUS_OK)
        *ret_object = value;
    return status;
}

void http_json(struct http_reply *reply, json_t *value)
{
    reply->type = NULL;
    json_add_text(value, true, &reply->body);
    json_decref(value);
}

static int status_number(enum status status)
{
    switch (status) {
    case STATUS_AMBIGUOUS: return 409;
    case STATUS_LIMIT: return 413;
    case STATUS_UNREADABLE: return 503;
    default: return 400;
    }
}

void http_fail(struct http_reply *reply, int status, const struct message *message)
{
    json_t *fault = json_object(), *all = json_object();
    json_put_words(fault, "what", message->what);
    json_put_words(fault, "remedy", message->remedy);
    json_put_words(fault, "file", message->file);
    json_put(fault, "line", json_integer(message->line));
    json_put(fault, "column", json_integer(message->column));
    json_put(all, "fault", fault);
    text_free(&reply->body);
    *reply = (struct http_reply){.status = status != 0 ? status : status_number(message->status)};
    http_json(reply, all);
}

void http_refuse(struct http_reply *reply, int status, const char *what, ...)
{
    struct message message = {0};
    va_list args;
    va_start(args, what);
    vsnprintf(message.what, sizeof message.what, what, args);
    va_end(args);
    http_fail(reply, status, &message);
}
