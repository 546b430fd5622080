"""Addresses of core: accounts, productions, people, players, the tour and the set."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from core.languages.views import language
from core.uploads import views as uploads
from core.views import (
    account,
    auth,
    home,
    join,
    people,
    players,
    productions,
    research,
    rooms,
    search,
    sections,
    set_up,
    shows,
    songs,
    theme,
    token,
    tour,
)

app_name = "core"

account_urls = [
    path("login/", auth.log_in, name="login"),
    path("logout/", auth.log_out, name="logout"),
    path("account/", account.account, name="account"),
    path("account/password/", auth.password_change, name="password_change"),
    path("password/forgotten/", auth.password_reset, name="password_reset"),
    path("password/forgotten/sent/", auth.password_reset_done, name="password_reset_done"),
    path(
        "password/new/<uidb64>/<token>/",
        auth.password_reset_confirm,
        name="password_reset_confirm",
    ),
    path("password/new/done/", auth.password_reset_complete, name="password_reset_complete"),
    path("account/token/", token.token, name="token"),
    path("theme/", theme.theme, name="theme"),
    path("language/", language, name="language"),
    path("set-up/<uidb64>/<token>/", set_up.set_up, name="set_up"),
    path("join/<str:token>/", join.invitation, name="invitation"),
]

production_urls = [
    path("", productions.production, name="production"),
    path("edit/", productions.edit, name="production_edit"),
    path("search/", search.results, name="search"),
    path("uploads/<slug:key>/", uploads.upload, name="upload"),
]

people_urls = [
    path("", people.people, name="people"),
    path("invite/", people.invite, name="invite"),
    path("invitations/<uuid:link_id>/withdraw/", people.withdraw, name="invite_withdraw"),
    path("invitations/<uuid:link_id>/again/", people.invite_again, name="invite_again"),
    path("<uuid:member_id>/edit/", people.edit, name="member_edit"),
    path("<uuid:member_id>/remove/", people.remove, name="member_remove"),
]

player_urls = [
    path("", players.players, name="players"),
    path("new/", players.new, name="player_new"),
    path("several/", players.several, name="players_several"),
    path("order/", players.order, name="players_order"),
    path("<uuid:player_id>/edit/", players.edit, name="player_edit"),
    path("<uuid:player_id>/retire/", players.retire, name="player_retire"),
]

tour_urls = [
    path("", tour.tour, name="tour"),
    path("rehearsal-room/", rooms.edit, name="rehearsal_room"),
    path("legs/new/", tour.new, name="leg_new"),
    path("legs/<uuid:leg_id>/", tour.leg, name="leg"),
    path("legs/<uuid:leg_id>/edit/", tour.edit, name="leg_edit"),
    path("legs/<uuid:leg_id>/retire/", tour.retire, name="leg_retire"),
    path("legs/<uuid:leg_id>/shows/new/", shows.new, name="show_new"),
    path("shows/<uuid:show_id>/edit/", shows.edit, name="show_edit"),
    path("shows/<uuid:show_id>/retire/", shows.retire, name="show_retire"),
]

song_urls = [
    path("", songs.songs, name="songs"),
    path("new/", songs.new, name="song_new"),
    path("several/", songs.several, name="songs_several"),
    path("order/", songs.order, name="songs_order"),
    path("<uuid:song_id>/", songs.song, name="song"),
    path("<uuid:song_id>/edit/", songs.edit, name="song_edit"),
    path("<uuid:song_id>/retire/", songs.retire, name="song_retire"),
    path("<uuid:song_id>/sections/new/", sections.new, name="section_new"),
    path("<uuid:song_id>/sections/order/", sections.order, name="sections_order"),
    path("<uuid:song_id>/research/new/", research.new, name="research_new"),
    path("research/<uuid:research_id>/edit/", research.edit, name="research_edit"),
    path("research/<uuid:research_id>/retire/", research.retire, name="research_retire"),
    path("sections/<uuid:section_id>/edit/", sections.edit, name="section_edit"),
    path("sections/<uuid:section_id>/retire/", sections.retire, name="section_retire"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", home.home, name="home"),
    *account_urls,
    path("productions/new/", productions.new, name="production_new"),
    path("p/<uuid:production>/", include(production_urls)),
    path("p/<uuid:production>/people/", include(people_urls)),
    path("p/<uuid:production>/players/", include(player_urls)),
    path("p/<uuid:production>/tour/", include(tour_urls)),
    path("p/<uuid:production>/songs/", include(song_urls)),
    path("", include("core.sign_in.urls")),
    path("", include("core.sets.urls")),
    path("", include("core.guests.urls")),
    path("", include("core.proof.urls")),
    path("", include("core.urls_offline")),
    path("", include("core.telephone.urls")),
]
