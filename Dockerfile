# Built in one stage, run in another that has none of the first one's tools, by a user without rights.
FROM node:22-bookworm-slim AS build
# Where the store's driver cannot be fetched ready-made it is compiled.
RUN apt-get update \
  && apt-get install -y --no-install-recommends python3 make g++ \
  && rm -rf /var/lib/apt/lists/*
WORKDIR /sunsteep
COPY .npmrc package.json package-lock.json ./
RUN npm ci --no-audit --no-fund --loglevel=error
COPY tsconfig.json tsconfig.build.json ./
COPY model model
COPY collector-service collector-service
COPY web web
RUN npm run build --loglevel=error && npm prune --omit=dev --loglevel=error

FROM node:22-bookworm-slim
ENV NODE_ENV=production SUNSTEEP_DATA=/data
WORKDIR /sunsteep
COPY package.json LICENSE ./
COPY docker/healthy.mjs docker/
COPY --from=build /sunsteep/node_modules node_modules
COPY --from=build /sunsteep/dist dist
RUN install -d -o node -g node -m 0700 /data
USER node
VOLUME /data
EXPOSE 8080 1883
HEALTHCHECK --interval=30s --timeout=10s --start-period=20s --retries=3 \
  CMD ["node", "docker/healthy.mjs"]
ENTRYPOINT ["node", "dist/collector-service/main.js"]
CMD ["serve"]
