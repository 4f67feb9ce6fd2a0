FROM golang:1.26-bookworm AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags '-s -w' -o /out/potlife ./cmd/potlife

FROM scratch
COPY --from=build /out/potlife /potlife
USER 10001:10001
EXPOSE 8080
ENTRYPOINT ["/potlife"]
CMD ["serve", "--listen", ":8080"]
