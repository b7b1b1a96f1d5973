/* Pictures of a sample: brought in, told about, shown small and upright, read for codes. */
#include "archive/book_json.h"
#include "archive/photograph.h"
#include "report/picture_codes.h"
#include "web/areas.h"
#include "web/visit.h"

#include <pthread.h>

enum { BODY_LIMIT = 1 << 16 };

/* One picture at a time is unpacked: it takes 4 bytes a pixel, and many may be asked for at once. */
static pthread_mutex_t one_at_a_time = PTHREAD_MUTEX_INITIALIZER;

/* No picture that can be read: 415; what fits no book or machine as http_fail says. */
static void fail_picture(struct http_reply *reply, enum status status, const struct message *message)
{
    http_fail(reply, status == STATUS_UNREADABLE ? 415 : 0, message);
}

/* The picture that the path names, with its bytes; 404 where there is none. Free it. */
static bool visit_picture(struct visit *visit, void *context, const struct http_request *request,
                          struct http_reply *reply, enum book_access access, struct picture *ret_picture)
{
    int64_t id = 0;
    if (!visit_begin(visit, context, request, reply, access))
        return false;
    enum status status = http_id(request->parts[0], &id, &visit->message);
    if (status == STATUS_OK)
        status = picture_get(visit->book, id, ret_picture, &visit->message);
    if (status == STATUS_OK)
        return true;
    if (status == STATUS_USAGE)
        http_refuse(reply, 404, "there is no picture %.20s in this book", request->parts[0]);
    visit_end(visit, status == STATUS_USAGE ? STATUS_OK : status);
    return false;
}

static enum status answer_with(struct visit *visit, int64_t id)
{
    struct picture picture;
    json_t *one = NULL;
    enum status status = picture_get(visit->book, id, &picture, &visit->message);
    if (status != STATUS_OK)
        return status;
    status = picture_json(visit->book, &picture, &one, &visit->message);
    if (status == STATUS_OK) {
        http_json(visit->reply, one);
        workshop_tell(visit->workshop, "picture", id, picture.sample);
    }
    picture_free(&picture);
    return status;
}

static const char *said(const struct http_request *request, const char *key)
{
    const char *words = http_query(request, key);
    return words != NULL ? words : "";
}

static enum status judge(const char *name, struct span bytes, struct message *message)
{
    pthread_mutex_lock(&one_at_a_time);
    enum status status = photograph_judge(name, bytes, message);
    pthread_mutex_unlock(&one_at_a_time);
    return status;
}

static void store(void *context, const struct http_request *request, struct http_reply *reply, struct span bytes)
{
    struct visit visit;
    int64_t id = 0;
    if (!visit_sample(&visit, context, request, reply, BOOK_WRITE))
        return;
    struct photograph photograph = {.sample = visit.sample.id, .name = said(request, "name"), .bytes = bytes,
                                    .caption = said(request, "caption"), .item = said(request, "item"),
                                    .utc_ns = workshop_utc_ns(context)};
    enum status status = STATUS_OK;
    if (http_query(request, "run") != NULL)
        status = http_id(http_query(request, "run"), &photograph.run, &visit.message);
    if (status == STATUS_OK)
        status = photograph_add(visit.book, &photograph, &id, &visit.message);
    if (status == STATUS_OK)
        status = answer_with(&visit, id);
    visit_end(&visit, status);
}

/* What was sent; refused where it is nothing. Free it. */
static bool take_bytes(const struct http_request *request, struct http_reply *reply, struct text *ret_bytes)
{
    struct text bytes = TEXT_EMPTY;
    if (request->body_path != NULL && text_read_file(request->body_path, PHOTOGRAPH_BYTES, &bytes) == 0 && bytes.length > 0) {
        *ret_bytes = bytes;
        return true;
    }
    text_free(&bytes);
    http_refuse(reply, 400, "there is nothing in this file");
    return false;
}

static void on_add_picture(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    struct text bytes = TEXT_EMPTY;
    if (!take_bytes(request, reply, &bytes))
        return;
    struct span span = {text_string(&bytes), bytes.length};
    enum status status = judge(said(request, "name"), span, &message);
    if (status == STATUS_OK)
        store(context, request, reply, span);
    else
        fail_picture(reply, status, &message);
    text_free(&bytes);
}

/* {"caption", "item", "shown"}: what is there is changed, all or nothing. */
static enum status take_change(struct picture *picture, const json_t *body, struct message *message)
{
    static const char *const keys[] = {"caption", "item"};
    const json_t *shown = json_object_get(body, "shown");
    const char *words[2];
    for (int k = 0; k < 2; k++) {
        const json_t *value = json_object_get(body, keys[k]);
        words[k] = json_string_value(value);
        if (value != NULL && words[k] == NULL)
            return status_fail(message, STATUS_MALFORMED, "\"%s\" is in words", keys[k]);
    }
    if (shown != NULL && !json_is_boolean(shown))
        return status_fail(message, STATUS_MALFORMED, "\"shown\" is true or false");
    enum status status = photograph_say(picture, words[0], words[1], message);
    if (status == STATUS_OK && shown != NULL)
        picture->shown = json_is_true(shown);
    return status;
}

static void on_change_picture(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct picture picture;
    json_t *body = NULL;
    if (!visit_picture(&visit, context, request, reply, BOOK_WRITE, &picture))
        return;
    enum status status = http_body_json(request, &body, &visit.message);
    if (status == STATUS_OK)
        status = take_change(&picture, body, &visit.message);
    if (status == STATUS_OK)
        status = picture_change(visit.book, &picture, &visit.message);
    if (status == STATUS_OK)
        status = answer_with(&visit, picture.id);
    json_decref(body);
    picture_free(&picture);
    visit_end(&visit, status);
}

static void on_remove_picture(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct picture picture;
    if (!visit_picture(&visit, context, request, reply, BOOK_WRITE, &picture))
        return;
    enum status status = picture_remove(visit.book, picture.id, &visit.message);
    if (status == STATUS_OK) {
        http_json(reply, json_object());
        workshop_tell(visit.workshop, "picture", picture.id, picture.sample);
    }
    picture_free(&picture);
    visit_end(&visit, status);
}

/* The bytes of a number never change, and no number is given twice in a book. */
static void tag_shown(struct http_reply *reply, const struct picture *picture, int side)
{
    snprintf(reply->tag, sizeof reply->tag, "%llx-%llx-%llx-%d", (unsigned long long)picture->id,
             (unsigned long long)picture->utc_ns, (unsigned long long)picture->size, side);
}

static void answer_original(struct http_reply *reply, struct picture *picture)
{
    reply->type = "application/octet-stream";
    snprintf(reply->file_name, sizeof reply->file_name, "%s", picture->name);
    reply->body = picture->bytes;
    picture->bytes = TEXT_EMPTY;
}

static void answer_shown(struct http_reply *reply, const struct http_request *request, const struct picture *picture,
                         int side)
{
    struct message message = {0};
    enum status status = STATUS_OK;
    reply->type = "image/jpeg";
    tag_shown(reply, picture, side);
    if (http_has(request, reply->tag))
        return;
    pthread_mutex_lock(&one_at_a_time);
    status = photograph_shown(picture, side, &reply->body, &message);
    pthread_mutex_unlock(&one_at_a_time);
    if (status == STATUS_OK)
        return;
    reply->type = NULL;
    reply->tag[0] = '\0';
    fail_picture(reply, status, &message);
}

static void on_picture(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct picture picture;
    double side = 0;
    bool original = http_query(request, "original") != NULL;
    if (original && request->role != HTTP_OPERATOR) {
        http_refuse(reply, 403, "what the camera wrote into a picture is for operators alone");
        return;
    }
    if (!visit_picture(&visit, context, request, reply, BOOK_READ, &picture))
        return;
    enum status status = http_number("side", http_query(request, "side"), PHOTOGRAPH_LEAST, PHOTOGRAPH_MOST,
                                     PHOTOGRAPH_SIDE, &side, &visit.message);
    visit_end(&visit, status);
    if (status == STATUS_OK && original)
        answer_original(reply, &picture);
    else if (status == STATUS_OK)
        answer_shown(reply, request, &picture, (int)side);
    picture_free(&picture);
}

static void answer_codes(struct http_reply *reply, const char *name, struct span bytes)
{
    struct message message = {0};
    struct code codes[PICTURE_CODES];
    size_t count = 0;
    pthread_mutex_lock(&one_at_a_time);
    enum status status = picture_codes(name, bytes, codes, &count, &message);
    pthread_mutex_unlock(&one_at_a_time);
    if (status == STATUS_OK)
        http_json(reply, picture_codes_json(codes, count));
    else
        fail_picture(reply, status, &message);
}

static void on_codes(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct picture picture;
    if (!visit_picture(&visit, context, request, reply, BOOK_READ, &picture))
        return;
    visit_end(&visit, STATUS_OK);
    answer_codes(reply, picture.name, (struct span){text_string(&picture.bytes), picture.bytes.length});
    picture_free(&picture);
}

/* Of a picture that nobody keeps. */
static void on_read_codes(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct text bytes = TEXT_EMPTY;
    if (!take_bytes(request, reply, &bytes))
        return;
    answer_codes(reply, said(request, "name"), (struct span){text_string(&bytes), bytes.length});
    text_free(&bytes);
}

const struct http_route picture_routes[] = {
    {.method = "POST", .pattern = "/api/samples/{}/pictures", .role = HTTP_OPERATOR, .body_limit = PHOTOGRAPH_BYTES,
     .flags = HTTP_SPOOL, .answer = on_add_picture},
    {.method = "GET", .pattern = "/api/pictures/{}", .role = HTTP_READER, .answer = on_picture},
    {.method = "PATCH", .pattern = "/api/pictures/{}", .role = HTTP_OPERATOR, .body_limit = BODY_LIMIT,
     .answer = on_change_picture},
    {.method = "DELETE", .pattern = "/api/pictures/{}", .role = HTTP_OPERATOR, .body_limit = BODY_LIMIT,
     .answer = on_remove_picture},
    {.method = "GET", .pattern = "/api/pictures/{}/codes", .role = HTTP_OPERATOR, .answer = on_codes},
    {.method = "POST", .pattern = "/api/codes", .role = HTTP_OPERATOR, .body_limit = PHOTOGRAPH_BYTES, .flags = HTTP_SPOOL,
     .answer = on_read_codes},
    {0},
};
