/* Who is here, and who may come in. */
#include "web/areas.h"
#include "web/qr.h"

static const char *const role_words[] = {
    [HTTP_ANYONE] = "nobody", [HTTP_READER] = "reader", [HTTP_OPERATOR] = "operator"};

/* The book's name is that of its file, without the ending. */
static void put_name(json_t *object, const char *path)
{
    char name[160];
    const char *slash = strrchr(path, '/'), *file = slash != NULL ? slash + 1 : path;
    size_t n = strlen(file);
    if (n > 5 && strcmp(file + n - 5, ".book") == 0)
        n -= 5;
    span_copy((struct span){file, n}, name, sizeof name);
    json_put_words(object, "name", name);
}

static void on_book(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message;
    struct book_sample_list list = {0};
    struct book *book = workshop_take(context, BOOK_READ, &message);
    if (book == NULL || book_samples(book, &list, &message) != STATUS_OK) {
        workshop_put(context, book);
        http_fail(reply, 0, &message);
        return;
    }
    workshop_put(context, book);
    json_t *all = json_object();
    bool invented = list.count > 0;
    for (size_t k = 0; k < list.count; k++)
        invented = invented && list.items[k].invented;
    put_name(all, workshop_path(context));
    json_put_words(all, "version", RUNDOWN_VERSION);
    json_put_words(all, "role", role_words[request->role]);
    json_put(all, "local", json_boolean(request->local));
    json_put(all, "shared", json_boolean(http_is_shared(request)));
    json_put(all, "invented", json_boolean(invented));
    json_put(all, "samples", json_integer((json_int_t)list.count));
    book_sample_list_free(&list);
    http_json(reply, all);
}

static void answer_role(struct http_reply *reply, enum http_role role)
{
    json_t *all = json_object();
    json_put_words(all, "role", role_words[role]);
    http_json(reply, all);
}

static void on_pair(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message;
    json_t *body = NULL;
    char token[DOOR_TOKEN];
    enum http_role role;
    if (http_body_json(request, &body, &message) != STATUS_OK) {
        http_fail(reply, 400, &message);
        return;
    }
    const char *code = json_string_value(json_object_get(body, "code"));
    enum status status = STATUS_OK;
    if (!request->local) /* who sits at the machine needs no session */
        status = door_pair(workshop_door(context), request->from, code != NULL ? code : "", token, &role, &message);
    json_decref(body);
    if (status != STATUS_OK) {
        http_fail(reply, status == STATUS_AMBIGUOUS ? 429 : 403, &message);
        return;
    }
    answer_role(reply, request->local ? request->role : role);
    if (!request->local)
        http_session(request, reply, token);
}

static void on_leave(void *context, const struct http_request *request, struct http_reply *reply)
{
    door_end_token(workshop_door(context), request->session);
    http_session(request, reply, "");
    reply->status = 204;
}

static void on_sessions(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct door_session sessions[DOOR_SESSIONS];
    size_t count = door_sessions(workshop_door(context), sessions);
    json_t *all = json_object(), *list = json_array();
    for (size_t k = 0; k < count; k++) {
        json_t *one = json_object();
        json_put_words(one, "name", sessions[k].name);
        json_put_words(one, "role", role_words[sessions[k].role]);
        json_put_words(one, "from", sessions[k].from);
        json_put(one, "unused_s", json_number(sessions[k].unused_s));
        json_array_append_new(list, one);
    }
    json_put(all, "sessions", list);
    http_json(reply, all);
}

static void on_end_session(void *context, const struct http_request *request, struct http_reply *reply)
{
    door_end(workshop_door(context), request->parts[0]);
    reply->status = 204;
}

/* A code, and the link that carries it behind #, which no browser ever sends. */
static json_t *code_json(struct door *door, enum http_role role, const char *address, int port)
{
    char code[DOOR_CODE], link[ADDRESS + 64];
    struct text svg = TEXT_EMPTY;
    json_t *one = json_object();
    door_code(door, role, code);
    json_put_words(one, "code", code);
    if (address != NULL) {
        snprintf(link, sizeof link, "http://%s:%d/pair#%s", address, port, code);
        json_put_words(one, "link", link);
        qr_add_svg(link, role == HTTP_READER ? "QR code to read" : "QR code to operate", &svg);
        json_put_words(one, "qr", text_string(&svg));
    }
    text_free(&svg);
    explicit_bzero(link, sizeof link);
    return one;
}

static void on_share(void *context, const struct http_request *request, struct http_reply *reply)
{
    char addresses[8][ADDRESS], address[ADDRESS + 24];
    const struct http_server *server = http_server_of(request);
    size_t count = server != NULL ? http_addresses(server, addresses, 8) : 0;
    json_t *all = json_object(), *list = json_array();
    json_put(all, "shared", json_boolean(http_is_shared(request)));
    for (size_t k = 0; k < count; k++) {
        snprintf(address, sizeof address, "http://%s:%d/", addresses[k], http_port(server));
        json_array_append_new(list, json_words(address));
    }
    json_put(all, "addresses", list);
    if (http_is_shared(request)) {
        const char *first = count > 0 ? addresses[0] : NULL;
        json_put(all, "reader", code_json(workshop_door(context), HTTP_READER, first, http_port(server)));
        json_put(all, "operator", code_json(workshop_door(context), HTTP_OPERATOR, first, http_port(server)));
    }
    http_json(reply, all);
}

static void on_new_codes(void *context, const struct http_request *request, struct http_reply *reply)
{
    door_new_codes(workshop_door(context));
    on_share(context, request, reply);
}

const struct http_route door_routes[] = {
    {.method = "GET", .pattern = "/api/book", .role = HTTP_READER, .answer = on_book},
    {.method = "GET", .pattern = "/api/events", .role = HTTP_READER, .flags = HTTP_EVENTS},
    {.method = "POST", .pattern = "/api/pair", .role = HTTP_ANYONE, .body_limit = 256, .answer = on_pair},
    {.method = "DELETE", .pattern = "/api/pair", .role = HTTP_READER, .body_limit = 256, .answer = on_leave},
    {.method = "GET", .pattern = "/api/share", .role = HTTP_OPERATOR, .answer = on_share},
    {.method = "POST", .pattern = "/api/share/codes", .role = HTTP_OPERATOR, .body_limit = 256, .answer = on_new_codes},
    {.method = "GET", .pattern = "/api/sessions", .role = HTTP_OPERATOR, .answer = on_sessions},
    {.method = "DELETE", .pattern = "/api/sessions/{}", .role = HTTP_OPERATOR, .body_limit = 256, .answer = on_end_session},
    {0},
};
