#include "http/exchange.h"

#include "base/memory.h"
#include "http/addresses.h"
#include "http/asker.h"
#include "http/sending.h"
#include "http/routing.h"

#include <errno.h>
#include <fcntl.h>
#include <strings.h>
#include <unistd.h>

/* What is thrown away unread of a refused body, for the sake of an answer that arrives. */
enum { SWALLOWED = 1 << 16, SWALLOWED_OVER = 1 << 20 };
enum { STREAM_BLOCK = 1 << 14, STREAM_LOOK_MS = 1000, STREAM_LOOKS = 10, REMEMBERED = 1 << 16 };

struct http_inside {
    struct http_server *server;
    struct MHD_Connection *connection;
    struct guest *guest;
    struct target target;
    bool readable, judged, refused, over;
    const struct http_route *route;
    struct http_request request;
    struct http_reply reply;
    char token[DOOR_TOKEN];
    struct text body;
    size_t received, declared;
    char *spooled;
    int spool_fd;
};

const char *http_header(const struct http_request *request, const char *name)
{
    return request->inside != NULL
               ? MHD_lookup_connection_value(request->inside->connection, MHD_HEADER_KIND, name)
               : NULL;
}

bool http_has(const struct http_request *request, const char *tag)
{
    return sending_names_tag(http_header(request, "If-None-Match"), tag);
}

const struct http_server *http_server_of(const struct http_request *request)
{
    return request->inside != NULL ? request->inside->server : NULL;
}

bool http_is_shared(const struct http_request *request)
{
    return request->inside != NULL && request->inside->server->setup.share;
}

void http_session(const struct http_request *request, struct http_reply *reply, const char *token)
{
    int port = request->inside != NULL ? request->inside->server->port : 0;
    snprintf(reply->cookie, sizeof reply->cookie, "rundown-%d=%s; Path=/; HttpOnly; SameSite=Strict%s", port, token,
             token[0] == '\0' ? "; Max-Age=0" : "");
}

void *exchange_begin(void *server, const char *raw_target, struct MHD_Connection *connection)
{
    struct http_inside *inside = memory_get(sizeof *inside);
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    inside->server = server;
    inside->connection = connection;
    inside->guest = info != NULL ? info->socket_context : NULL;
    inside->spool_fd = -1;
    inside->readable = target_read(raw_target, &inside->target, NULL) == STATUS_OK;
    return inside;
}

void exchange_end(void *server, struct MHD_Connection *connection, void **exchange,
                  enum MHD_RequestTerminationCode why)
{
    struct http_inside *inside = *exchange;
    *exchange = NULL;
    if (inside == NULL)
        return;
    if (inside->guest != NULL)
        guests_owe(inside->server->guests, inside->guest, 0); /* the next request's head */
    if (inside->spool_fd >= 0)
        close(inside->spool_fd);
    if (inside->spooled != NULL)
        unlink(inside->spooled); /* gone already when the handler kept it */
    free(inside->spooled);
    text_free(&inside->body);
    text_free(&inside->reply.body);
    target_free(&inside->target);
    explicit_bzero(inside->token, sizeof inside->token);
    free(inside);
}

static enum MHD_Result count_one(void *count, enum MHD_ValueKind kind, const char *name, const char *value)
{
    *(int *)count += strcasecmp(name, "Host") == 0;
    return MHD_YES;
}

static bool host_is_ours(const struct http_inside *inside)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(inside->connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    char own[ADDRESS] = "";
    int hosts = 0;
    bool loopback = info == NULL || address_own(info->connect_fd, own);
    MHD_get_connection_values(inside->connection, MHD_HEADER_KIND, count_one, &hosts);
    return hosts == 1 && asker_host_is_ours(http_header(&inside->request, "Host"), own,
                                             loopback ? "" : inside->server->machine);
}

static bool is_page(const struct http_route *route)
{
    return route->role == HTTP_ANYONE && strcmp(route->method, "GET") == 0;
}

static bool asked_by_us(const struct http_inside *inside)
{
    const struct http_request *request = &inside->request;
    bool changes = strcmp(request->method, "GET") != 0;
    const char *origin = http_header(request, "Origin"), *host = http_header(request, "Host");
    return asker_site_is_ours(http_header(request, "Sec-Fetch-Site"), http_header(request, "Sec-Fetch-Mode"),
                              is_page(inside->route)) &&
           (origin != NULL || changes ? asker_origin_is_ours(origin, host) : true);
}

static void know_peer(struct http_inside *inside)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(inside->connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    struct http_request *request = &inside->request;
    char name[32];
    snprintf(name, sizeof name, "rundown-%d", inside->server->port);
    const char *token = MHD_lookup_connection_value(inside->connection, MHD_COOKIE_KIND, name);
    if (token != NULL && strlen(token) == DOOR_TOKEN - 1)
        memcpy(inside->token, token, DOOR_TOKEN);
    request->local = info != NULL && address_is_loopback(info->client_addr);
    request->role = request->local ? HTTP_OPERATOR : door_role(inside->server->setup.door, inside->token);
    request->session = inside->token;
    request->from = guest_from(inside->guest);
}

/* Of what is declared; MHD has seen that it is digits. */
static size_t declared_length(const struct http_inside *inside)
{
    const char *text = http_header(&inside->request, "Content-Length");
    if (http_header(&inside->request, "Transfer-Encoding") != NULL)
        return SIZE_MAX; /* not known before it ends */
    errno = 0;
    unsigned long long length = text != NULL ? strtoull(text, NULL, 10) : 0;
    return errno == 0 && length < SIZE_MAX ? (size_t)length : SIZE_MAX;
}

static void refuse_role(struct http_inside *inside)
{
    struct message message = {0};
    bool unknown = inside->request.role == HTTP_ANYONE;
    if (unknown) {
        status_fail(&message, STATUS_USAGE, "this device is not paired");
        status_remedy(&message, "pair it at /pair with a code that the computer at the bench prints");
    } else {
        status_fail(&message, STATUS_USAGE, "this device may read, and change nothing");
        status_remedy(&message, "pair it again with the operator's code");
    }
    http_fail(&inside->reply, unknown ? 401 : 403, &message);
}

static void refuse_size(struct http_inside *inside)
{
    if (inside->route->body_limit == 0)
        http_refuse(&inside->reply, 413, "nothing is sent along with this request");
    else
        http_refuse(&inside->reply, 413, "more is sent than the %zu bytes that are taken here", inside->route->body_limit);
}

/* Fills the reply when the request is refused; looks at the head alone. */
static bool judge(struct http_inside *inside)
{
    struct http_reply *reply = &inside->reply;
    char allow[ROUTING_ALLOW];
    know_peer(inside);
    if (!inside->readable) {
        http_refuse(reply, 400, "this address cannot be taken apart");
        return false;
    }
    if (!host_is_ours(inside)) {
        http_refuse(reply, 403, "this server does not go by that name: use the address that it printed");
        return false;
    }
    inside->route = routing_find(inside->server->setup.tables, inside->request.method, &inside->target,
                               inside->request.parts, allow);
    if (inside->route == NULL && allow[0] != '\0') {
        http_refuse(reply, 405, "this address takes %s", allow);
        memcpy(reply->allow, allow, sizeof allow);
    } else if (inside->route == NULL) {
        http_refuse(reply, 404, "there is nothing at this address");
    } else if (!asked_by_us(inside)) {
        http_refuse(reply, 403, "this request was made by a page from elsewhere, or without the header Origin");
    } else if (inside->request.role < inside->route->role) {
        refuse_role(inside);
    } else if (inside->declared != SIZE_MAX && inside->declared > inside->route->body_limit) {
        refuse_size(inside);
    } else {
        return true;
    }
    return false;
}

static struct sending_wish wish_of(const struct http_request *request)
{
    return (struct sending_wish){.if_none_match = http_header(request, "If-None-Match"),
                                 .range = http_header(request, "Range"),
                                 .if_range = http_header(request, "If-Range"),
                                 .accept_encoding = http_header(request, "Accept-Encoding")};
}

static enum MHD_Result queue(struct http_inside *inside, struct MHD_Response *response, int status, size_t size)
{
    if (response == NULL)
        return MHD_NO;
    guests_owe(inside->server->guests, inside->guest, size);
    enum MHD_Result queued = MHD_queue_response(inside->connection, (unsigned)status, response);
    MHD_destroy_response(response);
    return queued;
}

static enum MHD_Result send_reply(struct http_inside *inside)
{
    struct sending_wish wish = wish_of(&inside->request);
    int status = 0;
    size_t size = 0;
    struct MHD_Response *response = sending_make(&inside->reply, &wish, &status, &size);
    return queue(inside, response, status, size);
}

/* A stream of events: one a connection, fed by its own thread. */
struct stream {
    struct http_server *server;
    struct guest *guest;
    enum http_role role; /* that the route wants */
    bool local;
    char token[DOOR_TOKEN];
    struct events_place place;
    struct text wire;
    size_t sent;
};

static void stream_free(void *context)
{
    struct stream *stream = context;
    text_free(&stream->wire);
    explicit_bzero(stream->token, sizeof stream->token);
    free(stream);
}

static bool may_still(const struct stream *stream)
{
    return stream->local || door_role(stream->server->setup.door, stream->token) >= stream->role;
}

/* Fills the wire with what comes, or with a sign of life when nothing came for a while; false at the end. Looks between
 * whether the peer is still there and may still read. */
static bool fill(struct stream *stream)
{
    struct events *events = stream->server->setup.events;
    bool open = true;
    if (stream->wire.capacity > REMEMBERED)
        text_free(&stream->wire);
    stream->wire.length = stream->sent = 0;
    for (int waited = 0; open && stream->wire.length == 0; waited++) {
        if (waited == STREAM_LOOKS)
            events_here(events, &stream->place, &stream->wire);
        else
            open = events_next(events, &stream->place, STREAM_LOOK_MS, &stream->wire);
        open = open && !guest_is_gone(stream->guest) && may_still(stream);
    }
    return open;
}

static ssize_t stream_read(void *context, uint64_t position, char *bytes, size_t room)
{
    struct stream *stream = context;
    if (stream->sent == stream->wire.length) {
        guests_at_ease(stream->server->guests, stream->guest);
        if (!fill(stream))
            return MHD_CONTENT_READER_END_OF_STREAM;
        guests_owe(stream->server->guests, stream->guest, stream->wire.length);
    }
    size_t left = stream->wire.length - stream->sent, count = left < room ? left : room;
    memcpy(bytes, stream->wire.s + stream->sent, count);
    stream->sent += count;
    return (ssize_t)count;
}

static enum MHD_Result send_stream(struct http_inside *inside)
{
    const struct http_request *request = &inside->request;
    if (!guests_stream(inside->server->guests, inside->guest)) {
        http_refuse(&inside->reply, 503, "too many pages follow the news from this device: close some");
        return send_reply(inside);
    }
    struct stream *stream = memory_get(sizeof *stream);
    const char *last = http_header(request, "Last-Event-ID");
    last = last != NULL ? last : http_query(request, "last");
    *stream = (struct stream){.server = inside->server, .guest = inside->guest, .role = inside->route->role,
                              .local = request->local};
    memcpy(stream->token, inside->token, sizeof stream->token);
    events_enter(inside->server->setup.events, http_query(request, "topics"), last != NULL ? last : "", &stream->place);
    text_add(&stream->wire, "retry: 1000\n\n");
    if (last == NULL || last[0] == '\0')
        events_here(inside->server->setup.events, &stream->place, &stream->wire);
    struct MHD_Response *response =
        MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, STREAM_BLOCK, stream_read, stream, stream_free);
    if (response == NULL) {
        stream_free(stream);
        return MHD_NO;
    }
    sending_add_guards(response, false);
    MHD_add_response_header(response, "Content-Type", "text/event-stream");
    MHD_add_response_header(response, "Cache-Control", "no-store");
    return queue(inside, response, 200, 0);
}

static enum MHD_Result answer(struct http_inside *inside)
{
    struct http_request *request = &inside->request;
    guests_at_ease(inside->server->guests, inside->guest);
    if (inside->refused)
        return send_reply(inside);
    if (inside->route->flags == HTTP_EVENTS)
        return send_stream(inside);
    if (inside->spool_fd >= 0) {
        close(inside->spool_fd);
        inside->spool_fd = -1;
    }
    request->body = (struct span){text_string(&inside->body), inside->body.length};
    request->body_path = inside->spooled;
    inside->route->answer(inside->server->setup.context, request, &inside->reply);
    return send_reply(inside);
}

static void refuse_late(struct http_inside *inside, int status, const char *what)
{
    http_refuse(&inside->reply, status, "%s", what);
    inside->refused = true;
}

static bool open_spool(struct http_inside *inside)
{
    struct text path = TEXT_EMPTY;
    text_addf(&path, "%s/upload-XXXXXX", inside->server->setup.spool);
    inside->spool_fd = mkostemp(path.s, O_CLOEXEC);
    if (inside->spool_fd < 0)
        text_free(&path);
    inside->spooled = path.s;
    return inside->spool_fd >= 0;
}

static bool spool(struct http_inside *inside, const char *bytes, size_t count)
{
    while (count > 0) {
        ssize_t n = write(inside->spool_fd, bytes, count);
        if (n < 0 && errno != EINTR)
            return false;
        bytes += n > 0 ? n : 0;
        count -= n > 0 ? (size_t)n : 0;
    }
    return true;
}

/* False drops the line. */
static bool take(struct http_inside *inside, const char *bytes, size_t count)
{
    inside->received += count;
    if (inside->refused)
        return inside->received <= (inside->over ? inside->route->body_limit + SWALLOWED_OVER : SWALLOWED);
    if (inside->received > inside->route->body_limit) { /* only where no length was declared */
        refuse_size(inside);
        inside->refused = inside->over = true;
        return true;
    }
    guests_moved(inside->server->guests, inside->guest, count);
    if (inside->route->flags != HTTP_SPOOL)
        text_add_bytes(&inside->body, bytes, count);
    else if (!spool(inside, bytes, count))
        refuse_late(inside, 507, "what was sent cannot be written beside the book: is its disk full?");
    return true;
}

static enum MHD_Result begin(struct http_inside *inside, const char *method)
{
    struct http_request *request = &inside->request;
    request->inside = inside;
    request->method = strcmp(method, "HEAD") == 0 ? "GET" : method;
    request->path = inside->target.path;
    request->query = inside->target.query;
    inside->declared = declared_length(inside);
    inside->judged = true;
    inside->refused = !judge(inside);
    guests_owe(inside->server->guests, inside->guest, 0); /* the body */
    if (inside->refused && inside->declared > SWALLOWED)
        return send_reply(inside);
    if (!inside->refused && inside->route->flags == HTTP_SPOOL && !open_spool(inside))
        refuse_late(inside, 507, "what is sent cannot be written beside the book: is its disk full?");
    return MHD_YES;
}

enum MHD_Result exchange_step(void *server, struct MHD_Connection *connection, const char *path, const char *method,
                              const char *version, const char *bytes, size_t *count, void **exchange)
{
    struct http_inside *inside = *exchange;
    if (inside == NULL || inside->guest == NULL)
        return MHD_NO;
    if (!inside->judged)
        return begin(inside, method);
    if (*count == 0)
        return answer(inside);
    bool go_on = take(inside, bytes, *count);
    *count = 0;
    return go_on ? MHD_YES : MHD_NO;
}
